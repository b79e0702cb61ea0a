"""`faults`: what went wrong in a record or on a line, how often, with honest limits; whether a claim is proved."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.fault_saying import say_claims, say_devices, say_latest
from buswalk.cli.fault_words import heading_lines
from buswalk.cli.faults_live import add_watch_options, run_live
from buswalk.cli.number_options import WholeOption
from buswalk.cli.options import PORT_HELP, add_open_line_options, add_settings_options, addresses_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.reply_words import count_words
from buswalk.domain.record_export import Unreadable, readable_events
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.statistics.fault_report import FaultCounter, FaultWish, late_by_exchange
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.marks import Mark, current_marks, mark_span
from buswalk.domain.visit.recorder import RecordProblem

WORDS = "count what went wrong in the record of a visit, or on a line, with limits"
MOST_SHOWN = 100_000
SHOWN = 10
_PERCENT = re.compile(r"([0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*%")
_SPAN = re.compile(r"([0-9]{1,6})(?:(-)([0-9]{0,6}))?")


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    parser.add_argument("file", metavar="RECORD", nargs="?", default="", help="ends in .buswalk.sqlite")
    parser.add_argument("--live", action="store_true", help="watch a line, in place of counting a record")
    parser.add_argument("--port", default="", help=f"with --live: {PORT_HELP}")
    parser.add_argument("--address", default="", help="these servers only, such as 1-40,56")
    parser.add_argument(
        "--accept",
        type=accepted_share,
        metavar="PERCENT",
        help="such as 0.1%%: ends with 1 unless the record proves of each device that less is not clean (95 %%)",
    )
    parser.add_argument(
        "--inside",
        default="",
        metavar="MARKS",
        help="marks, by the numbers of 'record marks', such as 3,5; 1-2 is from the start of 1 to that of 2",
    )
    parser.add_argument(
        "--exchanges",
        type=WholeOption("--exchanges", 0, MOST_SHOWN),
        default=SHOWN,
        help=f"show so many of the latest exchanges that were not clean, {SHOWN} if not given",
    )
    add_watch_options(parser)
    add_settings_options(parser)
    add_open_line_options(parser)


def accepted_share(text: str) -> float:
    """Return the share written in percent. Raises WrongUse."""
    matched = _PERCENT.fullmatch(text.strip())
    share = float(matched.group(1)) / 100.0 if matched else 0.0
    if not 1e-7 <= share < 1.0:
        raise WrongUse(f"--accept '{text}' cannot be: write a share with its sign, such as 0.1%")
    return share


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Count; not found where a claim is not proved, or nothing was asked."""
    if arguments.live:
        return run_live(arguments, parts)
    if not arguments.file or arguments.port:
        raise WrongUse("write which RECORD to count, or --live with --port and --address to watch a line")
    addresses = frozenset(addresses_of("--address", arguments.address)) if arguments.address else frozenset()
    try:
        reader = parts.records.open(Path(arguments.file))
    except RecordProblem as problem:
        raise WrongUse(problem.sentence) from problem
    with closing(reader):
        try:
            return _run(arguments, parts, reader, addresses)
        except RecordProblem as problem:
            raise Failed(problem.sentence, ExitStatus.NOT_FOUND) from problem


def _run(arguments: argparse.Namespace, parts: Parts, reader: RecordReader, addresses: frozenset[int]) -> ExitStatus:
    output = Output(parts.out, is_json=arguments.json)
    spans = marked_spans(arguments.inside, reader)
    output.started("faults", arguments.file)
    unreadable = Unreadable()
    counter = FaultCounter(FaultWish(addresses, spans, arguments.exchanges), late_by_exchange(reader.late_replies()))
    for event in readable_events(reader, unreadable):
        counter.take(event)
    report = counter.report()
    facts = reader.facts()
    sessions = {one.session: one for one in facts.sessions}
    output.event(facts)
    output.text(*heading_lines(facts, report))
    say_devices(output, report, sessions)
    say_latest(output, report, sessions)
    is_proved = say_claims(output, report, arguments.accept)
    if unreadable.rows:
        left_out = count_words(unreadable.rows, "row")
        raise Failed(
            f"{left_out} cannot be read and are not counted: {arguments.file} is damaged", ExitStatus.NOT_FOUND
        )
    if not report.devices:
        raise Failed("no exchange with such a device is in this record: nothing can be said", ExitStatus.NOT_FOUND)
    return ExitStatus.DONE if is_proved else ExitStatus.NOT_FOUND


def marked_spans(text: str, reader: RecordReader) -> tuple[MarkedSpan, ...]:
    """Return the spans that numbers of marks mean; none of no text.

    Raises:
        WrongUse: No such marks, or two of different sessions, or in the wrong order.
    """
    if not text:
        return ()
    marks = {one.number: one for one in current_marks(reader.marks())}
    return tuple(_span(part.strip(), marks) for part in text.split(","))


def _span(part: str, marks: Mapping[int, Mark]) -> MarkedSpan:
    matched = _SPAN.fullmatch(part)
    if matched is None:
        raise WrongUse(f"--inside '{part}' cannot be: write numbers of marks, such as 3 or 1-2")
    first, last = int(matched.group(1)), int(matched.group(3) or 0)
    for number in (first, last) if last else (first,):
        if number not in marks:
            raise WrongUse(f"there is no mark {number} in this record: 'record marks' lists them")
    begin = marks[first]
    if last:
        end = marks[last]
        if end.session != begin.session or end.start_s < begin.start_s:
            raise WrongUse(f"--inside {first}-{last} cannot be: both marks lie in one session, the earlier one first")
        return MarkedSpan(begin.session, begin.start_s, end.start_s)
    return MarkedSpan(begin.session, begin.start_s) if matched.group(2) else mark_span(begin)
