"""`record`: shows, exports and checks the record of a visit, for which it is opened for reading only; its marks."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.left_changed import left_changed
from buswalk.cli.number_options import ChoiceOption
from buswalk.cli.options import add_json_option
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.record_marks import add_mark_options, run_marks
from buswalk.cli.record_words import checked_lines, shown_lines
from buswalk.cli.reply_words import count_words
from buswalk.cli.write_words import changed_lines, writes_lines
from buswalk.domain.readdressing.visit_moves import moves_in
from buswalk.domain.record_export import ExportKind, Unreadable, export_lines
from buswalk.domain.record_reader import WRITE_KINDS, RecordReader, writes_in
from buswalk.domain.visit.marks import current_marks
from buswalk.domain.visit.recorder import RecordProblem

WORDS = "show, export or check the record of a visit, list and edit its marks, list its writes"
LINES_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class RecordChecked:
    """What looking through a record found: a sentence for each thing that is not as it must be."""

    name: str
    exchanges: int
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Act:
    words: str
    add_options: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace, Parts, RecordReader], ExitStatus]


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add what can be done with a record, each with its options."""
    acts = parser.add_subparsers(dest="act", required=True, metavar="{" + ",".join(_ACTS) + "}")
    for word, act in _ACTS.items():
        of_act = acts.add_parser(word, help=act.words, description=act.words, allow_abbrev=False)
        of_act.add_argument("file", metavar="FILE", help="ends in .buswalk.sqlite")
        act.add_options(of_act)


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Open the record and do it. A record that cannot be opened is wrong use; one that breaks off is said."""
    try:
        reader = parts.records.open(Path(arguments.file))
    except RecordProblem as problem:
        raise WrongUse(problem.sentence) from problem
    with closing(reader):
        try:
            return _ACTS[arguments.act].run(arguments, parts, reader)
        except RecordProblem as problem:
            raise Failed(problem.sentence, ExitStatus.NOT_FOUND) from problem


def _show(arguments: argparse.Namespace, parts: Parts, reader: RecordReader) -> ExitStatus:
    output = Output(parts.out, is_json=arguments.json)
    output.started("record show", arguments.file)
    facts, findings, counts, marks, plan = (
        reader.facts(),
        reader.findings(),
        reader.outcome_counts(),
        reader.marks(),
        reader.plan(),
    )
    for event in (facts, *findings, *counts, *(one.event for one in marks), *([plan] if plan is not None else [])):
        output.event(event)
    output.text(*shown_lines(facts, findings, counts, current_marks(marks)))
    return ExitStatus.DONE


def _export(arguments: argparse.Namespace, parts: Parts, reader: RecordReader) -> ExitStatus:
    unreadable = Unreadable()
    lines = export_lines(reader, ExportKind(arguments.rows), unreadable)
    if arguments.to:
        try:
            parts.records.save_lines(Path(arguments.to), lines)
        except RecordProblem as problem:
            raise Failed(problem.sentence, ExitStatus.CANNOT_RECORD) from problem
    else:
        _write_out(Output(parts.out, is_json=False), lines)
    if unreadable.rows:
        left_out = count_words(unreadable.rows, "row")
        raise Failed(f"{left_out} cannot be read and are left out: {arguments.file} is damaged", ExitStatus.NOT_FOUND)
    return ExitStatus.DONE


def _write_out(output: Output, lines: Iterator[str]) -> None:
    while some := list(islice(lines, LINES_AT_ONCE)):
        output.text(*some)


def _check(arguments: argparse.Namespace, parts: Parts, reader: RecordReader) -> ExitStatus:
    output = Output(parts.out, is_json=arguments.json)
    output.started("record check", arguments.file)
    problems = reader.problems()
    facts = reader.facts() if not problems else None
    name = Path(arguments.file).name if facts is None else facts.name
    checked = RecordChecked(name, 0 if facts is None else facts.exchanges, problems)
    output.event(checked)
    output.text(*checked_lines(checked.exchanges, problems))
    return ExitStatus.NOT_FOUND if problems else ExitStatus.DONE


def _add_export_options(parser: argparse.ArgumentParser) -> None:
    kinds = tuple(one.value for one in ExportKind)
    parser.add_argument(
        "--rows",
        type=ChoiceOption("--rows", kinds),
        default=ExportKind.EXCHANGES.value,
        metavar="{" + ",".join(kinds) + "}",
        help="exchanges (if not given) or every byte that came as CSV, or everything as one JSON object a line",
    )
    parser.add_argument("--to", default="", metavar="FILE", help="a file that is not there yet; else it is printed")


def _writes(arguments: argparse.Namespace, parts: Parts, reader: RecordReader) -> ExitStatus:
    """Done where nothing is left changed: a script can ask for that before it leaves."""
    output = Output(parts.out, is_json=arguments.json)
    output.started("record writes", arguments.file)
    recorded = reader.events_of(WRITE_KINDS)
    for one in recorded:
        output.event(one.event)
    writes = writes_in(recorded)
    changes = writes.not_put_back()
    output.text(*writes_lines(reader.facts().sessions, writes, recorded))
    for change in changes:
        output.event(left_changed(change))
    moves = moves_in((one.session, one.event) for one in recorded).not_put_back()
    output.text(*changed_lines(changes, moves))
    return ExitStatus.NOT_FOUND if changes or moves else ExitStatus.DONE


_ACTS = {
    "show": _Act("what a record holds: sessions, devices, outcomes, marks", add_json_option, _show),
    "export": _Act("write a record as text for other programs", _add_export_options, _export),
    "marks": _Act("its marks with their numbers; add, edit or take back one", add_mark_options, run_marks),
    "writes": _Act("what was written, and what was changed and not put back", add_json_option, _writes),
    "check": _Act("look through a whole record for damage", add_json_option, _check),
}
