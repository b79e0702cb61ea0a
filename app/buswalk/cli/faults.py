"""`faults`: what went wrong in a record, how often, with honest limits; whether a claim about it is proved."""

from __future__ import annotations

import argparse
import re
from contextlib import closing
from math import inf
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.fault_events import claim_checked, device_faults, inside_marks, numbered_marks
from buswalk.cli.fault_words import (
    abnormal_line,
    claim_line,
    figure_lines,
    heading_lines,
    inside_line,
    table_lines,
)
from buswalk.cli.number_options import WholeOption
from buswalk.cli.options import add_json_option, addresses_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.reply_words import count_words
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.record_export import Unreadable, readable_events
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.statistics.claim import Claim, claim_on
from buswalk.domain.statistics.device_quality import DeviceQuality
from buswalk.domain.statistics.fault_report import FaultCounter, FaultReport, FaultWish, late_by_exchange
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.recorder import RecordProblem

WORDS = "count what went wrong in the record of a visit, with limits"
MOST_SHOWN = 100_000
SHOWN = 10
_PERCENT = re.compile(r"([0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*%")
_SPAN = re.compile(r"([0-9]{1,6})-([0-9]{0,6})")


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    parser.add_argument("file", metavar="RECORD", help="ends in .buswalk.sqlite")
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
        help="spans between marks, by the numbers of 'record marks': 1-2,5-6; 7- lasts to the end of its session",
    )
    parser.add_argument(
        "--exchanges",
        type=WholeOption("--exchanges", 0, MOST_SHOWN),
        default=SHOWN,
        help=f"show so many of the latest exchanges that were not clean, {SHOWN} if not given",
    )
    add_json_option(parser)


def accepted_share(text: str) -> float:
    """Return the share written in percent. Raises WrongUse."""
    matched = _PERCENT.fullmatch(text.strip())
    share = float(matched.group(1)) / 100.0 if matched else 0.0
    if not 1e-7 <= share < 1.0:
        raise WrongUse(f"--accept '{text}' cannot be: write a share with its sign, such as 0.1%")
    return share


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Count; not found where a claim is not proved, or nothing was asked."""
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
    _say(output, reader, report)
    is_proved = _say_claims(output, report, arguments.accept)
    if unreadable.rows:
        left_out = count_words(unreadable.rows, "row")
        raise Failed(
            f"{left_out} cannot be read and are not counted: {arguments.file} is damaged", ExitStatus.NOT_FOUND
        )
    if not report.devices:
        raise Failed("no exchange with such a device is in this record: nothing can be said", ExitStatus.NOT_FOUND)
    return ExitStatus.DONE if is_proved else ExitStatus.NOT_FOUND


def _say(output: Output, reader: RecordReader, report: FaultReport) -> None:
    facts = reader.facts()
    sessions = {one.session: one for one in facts.sessions}
    output.event(facts)
    output.text(*heading_lines(facts, report), *table_lines(report.devices))
    for quality in report.devices:
        output.event(device_faults(quality))
        if quality.row.not_clean:
            output.text(*figure_lines(quality, sessions))
    inside = [inside_marks(one) for one in report.inside]
    output.text(*(["inside and outside of the marked spans:"] if inside else []))
    for one in inside:
        output.event(one)
        output.text("  " + inside_line(one))
    total = sum(one.row.not_clean for one in report.devices)
    if report.abnormal:
        output.text(f"the latest {len(report.abnormal)} of {total} not clean:")
    for recorded in report.abnormal:
        output.event(ExchangeDone(recorded.exchange))
        output.text(abnormal_line(recorded, sessions))


def _say_claims(output: Output, report: FaultReport, share: float | None) -> bool:
    """Say of each device whether the claim is proved; tell whether it is of all. Without a claim all is well."""
    if share is None:
        return True
    is_proved = True
    output.text("claim:")
    for quality in report.devices:
        checked = claim_checked(_claim(share, quality), quality)
        is_proved = is_proved and checked.is_proved
        output.event(checked)
        output.text("  " + claim_line(checked))
    return is_proved


def _claim(share: float, quality: DeviceQuality) -> Claim:
    return claim_on(share, quality.row.not_clean, quality.row.trials)


def marked_spans(text: str, reader: RecordReader) -> tuple[MarkedSpan, ...]:
    """Return the spans that numbers of marks mean; none of no text.

    Raises:
        WrongUse: No such marks, or two of different sessions, or in the wrong order.
    """
    if not text:
        return ()
    marks = {one.number: one for one in numbered_marks(reader.marks(), reader.facts().sessions)}
    spans = []
    for part in text.split(","):
        matched = _SPAN.fullmatch(part.strip())
        if matched is None:
            raise WrongUse(f"--inside '{part.strip()}' cannot be: write numbers of marks, such as 1-2,5-6")
        first, last = int(matched.group(1)), int(matched.group(2) or 0)
        for number in (first, last) if last else (first,):
            if number not in marks:
                raise WrongUse(f"there is no mark {number} in this record: 'record marks' lists them")
        begin, end = marks[first], marks[last] if last else None
        if end is not None and (end.session != begin.session or end.at_s < begin.at_s):
            raise WrongUse(f"--inside {first}-{last} cannot be: both marks lie in one session, the earlier one first")
        spans.append(MarkedSpan(begin.session, begin.at_s, inf if end is None else end.at_s))
    return tuple(spans)
