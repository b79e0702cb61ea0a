"""`record marks`: lists the marks of a record, and adds, edits, ends or takes back one while nobody else writes in it.

What is said of a mark is kept as a session of its own, with the time at which it was said: nothing is overwritten.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.mark_words import mark_line, numbered_mark
from buswalk.cli.number_options import WholeOption
from buswalk.cli.options import add_json_option
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.domain.record_reader import RecordedSession, RecordReader
from buswalk.domain.visit.mark_end import NO_END, EndsAt, MarkEnd
from buswalk.domain.visit.marks import Mark, current_marks, is_in_order
from buswalk.domain.visit.record_time import PlacedTime, placed, said_time
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.domain.visit.session_events import MarkEdited, MarkMade, MarkSource, MarkTakenBack, SessionStarted

MOST_NUMBER = 999_999
LONGEST_WORDS = 200
NO_END_TEXT = "none"


def add_mark_options(parser: argparse.ArgumentParser) -> None:
    """Add what can be done with marks; without any they are listed."""
    add_json_option(parser)
    act = parser.add_mutually_exclusive_group()
    act.add_argument("--add", metavar="WORDS", default=None, help="add a mark, such as 'fan on', with --from")
    act.add_argument(
        "--edit",
        type=WholeOption("--edit", 1, MOST_NUMBER),
        default=0,
        metavar="NUMBER",
        help="change what is given of --words, --from and --to",
    )
    act.add_argument(
        "--take-back",
        type=WholeOption("--take-back", 1, MOST_NUMBER),
        default=0,
        metavar="NUMBER",
        help="it was a mistake; the record keeps that it was made",
    )
    parser.add_argument("--words", default=None, help="with --edit: its new words")
    parser.add_argument(
        "--from", dest="from_time", default="", metavar="TIME", help="where it begins: 08:14:10, or 95.5s"
    )
    parser.add_argument(
        "--to", dest="to_time", default="", metavar="TIME", help="where it ends; none: with its session"
    )
    parser.add_argument(
        "--session",
        type=WholeOption("--session", 1, MOST_NUMBER),
        default=0,
        metavar="NUMBER",
        help="the session that --from and --to are times of; not given: the last one that holds them",
    )


def run_marks(arguments: argparse.Namespace, parts: Parts, reader: RecordReader) -> ExitStatus:
    """Change what is asked for, then list."""
    output = Output(parts.out, is_json=arguments.json)
    event = _asked_event(arguments, reader)
    if event is not None:
        _keep(arguments, parts, reader, event)
    output.started("record marks", arguments.file)
    sessions = reader.facts().sessions
    marks = [numbered_mark(one, sessions) for one in current_marks(reader.marks())]
    for one in marks:
        output.event(one)
        output.text(mark_line(one))
    if not marks:
        output.text("no mark in this record")
    return ExitStatus.DONE


def _asked_event(arguments: argparse.Namespace, reader: RecordReader) -> object | None:
    """Return what is to be kept; None where marks are only listed."""
    places = arguments.from_time or arguments.to_time or arguments.session
    if arguments.add is not None:
        if arguments.words is not None or not arguments.from_time:
            raise WrongUse("--add needs --from, and takes its words itself: --add 'fan on' --from 08:14:10")
        return _added(arguments, reader.facts().sessions)
    marks = {one.number: one for one in current_marks(reader.marks())}
    if arguments.edit:
        if not places and arguments.words is None:
            raise WrongUse("--edit needs what is to change: --words, --from or --to")
        return _edited(arguments, _mark(marks, arguments.edit), reader.facts().sessions)
    if places or arguments.words is not None:
        raise WrongUse("--words, --from, --to and --session go with --add or --edit")
    return MarkTakenBack(_mark(marks, arguments.take_back).row, 0.0) if arguments.take_back else None


def _added(arguments: argparse.Namespace, sessions: tuple[RecordedSession, ...]) -> MarkMade:
    start = _placed("--from", arguments.from_time, _allowed(arguments, sessions))
    end = _end(arguments.to_time, sessions, start.session) if arguments.to_time else NO_END
    _require_order(start.at_s, end)
    return MarkMade(_words("--add", arguments.add), MarkSource.USER, start.at_s, end, start.session)


def _edited(arguments: argparse.Namespace, mark: Mark, sessions: tuple[RecordedSession, ...]) -> MarkEdited:
    if arguments.session not in (0, mark.session):
        raise WrongUse(f"mark {mark.number} stays in session {mark.session}: take it back, and add another")
    own = tuple(one for one in sessions if one.session == mark.session)
    start_s = _placed("--from", arguments.from_time, own).at_s if arguments.from_time else mark.start_s
    end = _end(arguments.to_time, sessions, mark.session) if arguments.to_time else mark.end
    _require_order(start_s, end)
    words = mark.words if arguments.words is None else _words("--words", arguments.words)
    return MarkEdited(mark.row, words, start_s, end, 0.0)


def _words(option: str, text: str) -> str:
    words = " ".join(text.split())
    if not words or len(words) > LONGEST_WORDS:
        raise WrongUse(f"{option} needs words that say what was done, at most {LONGEST_WORDS} signs")
    return words


def _mark(marks: Mapping[int, Mark], number: int) -> Mark:
    if number not in marks:
        raise WrongUse(f"there is no mark {number} in this record: 'record marks' lists them")
    return marks[number]


def _allowed(arguments: argparse.Namespace, sessions: tuple[RecordedSession, ...]) -> tuple[RecordedSession, ...]:
    if not arguments.session:
        return sessions
    found = tuple(one for one in sessions if one.session == arguments.session)
    if not found:
        raise WrongUse(f"there is no session {arguments.session} in this record: 'record show' lists them")
    return found


def _end(text: str, sessions: tuple[RecordedSession, ...], session: int) -> MarkEnd:
    """An end lies in the session of its mark."""
    if text.strip().lower() == NO_END_TEXT:
        return NO_END
    return EndsAt(_placed("--to", text, tuple(one for one in sessions if one.session == session)).at_s)


def _placed(option: str, text: str, sessions: tuple[RecordedSession, ...]) -> PlacedTime:
    try:
        return placed(said_time(text, sessions), sessions)
    except ValueError as reason:
        raise WrongUse(f"{option}: {reason}") from reason


def _require_order(start_s: float, end: MarkEnd) -> None:
    if not is_in_order(start_s, end):
        raise WrongUse("a mark ends behind its start: set --to later, or --from earlier")


def _keep(arguments: argparse.Namespace, parts: Parts, reader: RecordReader, event: object) -> None:
    recording = parts.recording
    is_simulated = reader.facts().is_simulated
    try:
        with closing(parts.records.go_on(Path(arguments.file), is_simulated)) as recorder:
            now = recording.wall_words(recording.wall_now_s())
            recorder.begin(SessionStarted(now, 1.0, is_simulated, recording.program))
            recorder.keep(event, 0.0)
    except RecordProblem as problem:
        raise Failed(f"not kept: {problem.sentence}", ExitStatus.CANNOT_RECORD) from problem
