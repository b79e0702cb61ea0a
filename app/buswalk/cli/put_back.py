"""`put-back`: puts back what an earlier session changed, also a killed one; behind the same guards as `write`."""

from __future__ import annotations

import argparse
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from buswalk.cli.confirming import add_confirming_options, require_living_allowed
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.guarded_writing import GuardedWriting
from buswalk.cli.left_changed import left_changed
from buswalk.cli.number_options import WholeOption
from buswalk.cli.options import add_line_options, port_choice, record_choice
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.cli.recording import CommandSession
from buswalk.cli.timer_telling import TimerTelling
from buswalk.cli.write import add_timing_options
from buswalk.cli.write_words import numbered_changes
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.record_reader import WRITE_KINDS, writes_in
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.writing.earlier_writes import EarlierWrites
from buswalk.domain.registers.writing.events import OldRead
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace
from buswalk.domain.registers.writing.visit_writes import Change
from buswalk.domain.registers.writing.words import words_in_place
from buswalk.domain.visit.recorder import RecordProblem

WORDS = "put back what an earlier session changed, if what stands there is still ours"
MOST_PLACES = 9999
ANY_PLACE = 0
BEFORE_ANY = SerialSettings.of(9600, "8N1")
"""Nothing is sent in them: each place is asked in the settings in which it was written."""


@dataclass(frozen=True, slots=True)
class _Open:
    """A change with the session that made it, in words."""

    change: Change
    of_session: str


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    parser.add_argument(
        "--from",
        dest="from_file",
        default="",
        metavar="FILE",
        help="a record of a visit; not given: the last records of this port, in which later putting back counts",
    )
    place = WholeOption("--place", 1, MOST_PLACES)
    parser.add_argument(
        "--place",
        type=place,
        default=ANY_PLACE,
        metavar="NUMBER",
        help="which one of those listed, if there are several",
    )
    add_timing_options(parser)
    add_confirming_options(parser, "the old value, without its unit")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Put one place back; done if the old value stands there."""
    output = Output(parts.out, is_json=arguments.json)
    of_file = _open_in(Path(arguments.from_file), parts) if arguments.from_file else None
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, BEFORE_ANY))
    with CommandSession("put_back", choice, held, parts, output) as session:
        output.started("put-back", arguments.port)
        for name in session.earlier.not_read:
            output.text(f"{name} cannot be read: what it holds of writes is not known")
        left = _open_before(session.earlier) if of_file is None else of_file
        for one in left:
            output.event(left_changed(one.change))
        if not left:
            output.text("nothing is left changed")
            return session.status(ExitStatus.DONE)
        output.text(*numbered_changes(tuple(one.change for one in left)))
        chosen = _chosen(arguments.place, left)
        timers = TimerTelling(arguments, parts, output, held)
        timers.keep_with(session.keep)
        asker = session.asker_on(timers.line(held.line), timers.sink(lambda _event: None))
        require_living_allowed(asker, arguments, output, timers)
        writing = GuardedWriting(arguments, parts, session, output, asker)
        is_done = writing.put_change_back(chosen.change, _typed(chosen.change), chosen.of_session)
    return session.status(ExitStatus.DONE if is_done else ExitStatus.NOT_FOUND)


def _open_in(path: Path, parts: Parts) -> tuple[_Open, ...]:
    try:
        with closing(parts.records.open(path)) as reader:
            changes = writes_in(reader.events_of(WRITE_KINDS)).not_put_back()
    except RecordProblem as problem:
        raise WrongUse(problem.sentence) from problem
    return tuple(_Open(one, f"session {one.last.session} of {path.name}") for one in changes)


def _open_before(earlier: EarlierWrites) -> tuple[_Open, ...]:
    named = ((one, earlier.session(one.last.session)) for one in earlier.writes.not_put_back())
    return tuple(_Open(one, session.words) for one, session in named if session is not None)


def _chosen(place: int, left: tuple[_Open, ...]) -> _Open:
    if place == ANY_PLACE and len(left) > 1:
        raise WrongUse(f"nothing was written: {len(left)} places are left changed, say which one, such as --place 1")
    if place > len(left):
        raise WrongUse(f"nothing was written: there is no place {place}, the list above ends with {len(left)}")
    return left[max(place, 1) - 1]


def _typed(change: Change) -> str:
    """Return what a person types to confirm: the old value without its unit; raw words as numbers."""
    old = change.first.begun.old
    if not isinstance(old, OldRead):
        return ""
    return _value_typed(change.intended, old.words)


def _value_typed(intended: IntendedWrite, words: tuple[int, ...]) -> str:
    match intended.place:
        case KnownPlace(Point(unit=unit)):
            return words_in_place(intended, words).removesuffix(unit).strip()
        case _:
            return ",".join(str(one) for one in words)
