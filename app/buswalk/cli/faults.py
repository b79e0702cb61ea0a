"""`faults`: what went wrong in a record or on a line, how often, with honest limits; whether a claim is proved."""

from __future__ import annotations

import argparse
import re
from contextlib import closing
from pathlib import Path

from buswalk.cli.counting_progress import NOT_SHOWN, Counting
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.fault_counting import Listed, counted_report, readable_marks
from buswalk.cli.fault_events import JobsLeftOut
from buswalk.cli.fault_export import Counted, export, require_export
from buswalk.cli.fault_filter_options import Looked, add_filter_options, endless_words, looked_by
from buswalk.cli.fault_saying import say_claims, say_devices, say_latest, say_table
from buswalk.cli.fault_words import clock_jump_lines, heading_lines, name_line, table_lines
from buswalk.cli.faults_live import add_watch_options, run_live
from buswalk.cli.mark_words import numbered_mark
from buswalk.cli.number_options import WholeOption
from buswalk.cli.options import PORT_HELP, add_open_line_options, add_settings_options
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.reply_words import count_words
from buswalk.domain.record_export import Unreadable
from buswalk.domain.record_reader import RecordedSession, RecordFacts, RecordReader
from buswalk.domain.statistics.fault_rows import fault_rows
from buswalk.domain.visit.marks import mark_span
from buswalk.domain.visit.recorder import RecordProblem

WORDS = "count what went wrong in the record of a visit, or on a line, with limits"
MOST_SHOWN = 100_000
SHOWN = 10
LARGE = 100_000
"""So many exchanges take some seconds to look through: the table is said before, and progress is shown."""
_PERCENT = re.compile(r"([0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*%")


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
        "--exchanges",
        type=WholeOption("--exchanges", 0, MOST_SHOWN),
        default=SHOWN,
        help=f"show so many of the latest exchanges that were not clean, {SHOWN} if not given",
    )
    parser.add_argument(
        "--export",
        default="",
        metavar="FILE",
        help="a new file: .csv (and a table beside it), .jsonl, or a page to print, .pdf",
    )
    add_filter_options(parser)
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
    require_export(arguments.export)
    try:
        reader = parts.records.open(Path(arguments.file))
    except RecordProblem as problem:
        raise WrongUse(problem.sentence) from problem
    with closing(reader):
        try:
            return _run(arguments, parts, reader)
        except RecordProblem as problem:
            raise Failed(problem.sentence, ExitStatus.NOT_FOUND) from problem


def _run(arguments: argparse.Namespace, parts: Parts, reader: RecordReader) -> ExitStatus:
    output = Output(parts.out, is_json=arguments.json)
    looked = looked_by(arguments, reader)
    output.started("faults", arguments.file)
    unreadable = Unreadable()
    marks = readable_marks(reader, unreadable)
    listed = Listed(arguments.exchanges, tuple(mark_span(one) for one in marks) if arguments.export else ())
    facts = reader.facts()
    sessions = {one.session: one for one in facts.sessions}
    is_large = facts.exchanges >= LARGE and _say_kept_counts(output, facts, reader, looked)
    counting = Counting(parts.err, facts.exchanges) if is_large and not arguments.json else NOT_SHOWN
    report = counted_report(reader, looked, listed, unreadable, counting.take)
    counting.end()
    output.event(facts)
    output.text(*heading_lines(facts, report)[is_large:])
    output.text(*clock_jump_lines(marks, sessions))
    if looked.wanted.but_jobs:
        output.event(JobsLeftOut(tuple(sorted(looked.wanted.but_jobs))))
        output.text("searches are left out, as nobody is expected at most of what they ask; --searches counts them too")
    _say_marks(output, looked, facts.sessions)
    if not is_large:
        say_table(output, report)
    say_devices(output, report, sessions)
    say_latest(output, report, sessions)
    is_proved = say_claims(output, report, arguments.accept)
    if arguments.export:
        counted = Counted(facts, looked, report, marks, arguments.accept or 0.0, unreadable)
        exported = export(arguments.export, counted, reader, parts.records)
        output.event(exported)
        output.text(f"written: {', '.join(exported.files)}, {count_words(exported.exchanges, 'exchange')} listed")
    _require_readable(arguments, unreadable)
    if reader.is_cut():
        raise Failed(f"{arguments.file} was cut: what stood behind the cut is not counted", ExitStatus.NOT_FOUND)
    if not report.devices:
        but = ", searches left out (--searches counts them)" if looked.wanted.but_jobs else ""
        raise Failed(
            f"no exchange with such a device is in this record{but}: nothing can be said", ExitStatus.NOT_FOUND
        )
    return ExitStatus.DONE if is_proved else ExitStatus.NOT_FOUND


def _say_kept_counts(output: Output, facts: RecordFacts, reader: RecordReader, looked: Looked) -> bool:
    """Say at once what was counted while it was recorded: the figures of each exchange take minutes.

    Tell whether it could be said: around damage only a look at each exchange helps.
    """
    try:
        parts = [reader.fault_counts(looked.wanted, 0)]
        while not parts[-1].is_whole:
            parts.append(reader.fault_counts(looked.wanted, parts[-1].counted_to))
    except RecordProblem:
        return False
    output.text(name_line(facts), *table_lines(one for one in fault_rows(parts) if one.server_address))
    return True


def _say_marks(output: Output, looked: Looked, sessions: tuple[RecordedSession, ...]) -> None:
    for mark in looked.used:
        output.event(numbered_mark(mark, sessions))
        output.text(*filter(None, [endless_words(mark)]))


def _require_readable(arguments: argparse.Namespace, unreadable: Unreadable) -> None:
    if unreadable.rows:
        left_out = count_words(unreadable.rows, "row")
        raise Failed(
            f"{left_out} cannot be read and are not counted: {arguments.file} is damaged", ExitStatus.NOT_FOUND
        )
