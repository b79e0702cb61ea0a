"""`write`: one value, behind the same guards as in the window: old value, caution, confirmation, read-backs, undo."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.cli.ask import LONGEST_S, SHORTEST_TIMEOUT_S
from buswalk.cli.confirming import Wanted, add_confirming_options, require_confirmed, require_living_allowed
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import SecondsOption, WholeOption
from buswalk.cli.options import add_line_options, add_settings_options, port_choice, record_choice, rtu_settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.recording import CommandSession
from buswalk.cli.write_target import add_target_options, intended_of
from buswalk.cli.write_words import event_lines, proposed_lines
from buswalk.domain.registers.point import WriteType
from buswalk.domain.registers.writing.checks import Caution, cautions_of, confirmations_needed, problems_of
from buswalk.domain.registers.writing.events import OldNotRead, OldRead, OldValue, WriteAnswer, WriteEvent
from buswalk.domain.registers.writing.intended import IntendedWrite, SecondConfirmation
from buswalk.domain.registers.writing.order import WriteOrder, put_back_order
from buswalk.domain.registers.writing.verdict import Verdict
from buswalk.domain.registers.writing.visit_writes import VisitWrites
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_lock import WriteLock
from buswalk.jobs.writing import GuardedWrite, old_value, require_orderly, silent_words, write_and_look

WORDS = "write one value, read it back, perhaps put the old one back"


@dataclass(frozen=True, slots=True)
class WriteProposed:
    """What would be written over what, and what must be read and typed before.

    Attributes:
        confirm: Must be confirmed word for word.
        confirm_apart: The same, each apart.
    """

    intended: IntendedWrite
    old: OldValue
    cautions: tuple[Caution, ...]
    confirm: str
    confirm_apart: tuple[str, ...]


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    address = WholeOption("--address", 0, 247, "0 goes to all devices at once")
    parser.add_argument("--address", type=address, required=True, help="server address, 1 to 247; 0 is all devices")
    parser.add_argument("value", help="the new value, such as 21.5, on, or words such as 0x41AC,0x0000")
    timeout = SecondsOption("--timeout", SHORTEST_TIMEOUT_S, LONGEST_S)
    parser.add_argument("--timeout", type=timeout, default=1.0, help="response time-out in seconds, 1 if not given")
    pause = SecondsOption("--pause", 0.0, LONGEST_S)
    parser.add_argument("--pause", type=pause, default=0.0, help="least silence before each request, in seconds")
    parser.add_argument(
        "--put-back",
        action="store_true",
        help="put the old value back behind the last look, if what stands there is still ours",
    )
    add_target_options(parser)
    add_confirming_options(parser, "the new value as you wrote it")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Write; done if it holds (and, where asked for, the old value stands there again)."""
    output = Output(parts.out, is_json=arguments.json)
    settings = rtu_settings_of(arguments.baud, arguments.framing)
    intended = intended_of(arguments, settings, parts.profiles)
    problems = problems_of(intended)
    if problems:
        raise WrongUse(*problems)
    if arguments.put_back and not _can_be_put_back(intended):
        raise WrongUse("--put-back cannot be: what is sent to all devices, or starts something, is not put back")
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, settings))
    with CommandSession("write", choice, held, parts, output) as session:
        output.started("write", arguments.port)
        asker = session.asker_on(held.line, lambda _event: None)
        require_living_allowed(asker, arguments, output)
        writing = _Writing(arguments, parts, session, output, asker)
        is_done = writing.run(intended)
    return session.status(ExitStatus.DONE if is_done else ExitStatus.NOT_FOUND)


def _can_be_put_back(intended: IntendedWrite) -> bool:
    return intended.can_be_read and intended.write_type is not WriteType.TRIGGER


class _Writing:
    """One run, in order: propose, confirm, unlock, write, look, perhaps put back."""

    def __init__(
        self, arguments: argparse.Namespace, parts: Parts, session: CommandSession, output: Output, asker: Asker
    ) -> None:
        self._arguments = arguments
        self._parts = parts
        self._session = session
        self._output = output
        self._asker = asker
        self._lock = WriteLock(parts.recording.wall_now_s)
        self._visit = VisitWrites()

    def run(self, intended: IntendedWrite) -> bool:
        """Return whether it is as it was asked for."""
        timing = AskTiming(self._arguments.timeout, self._arguments.pause)
        old = old_value(self._asker, intended, timing)
        if isinstance(old, OldNotRead) and old.is_silent:
            raise Failed(f"nothing was written: {silent_words(intended)}", ExitStatus.NOT_FOUND)
        needed = set(confirmations_needed(intended, self._session.earlier_writes.count_to(intended.target)))
        if not isinstance(old, OldRead) and _can_be_put_back(intended):
            needed.add(SecondConfirmation.NO_WAY_BACK)
        cautions = cautions_of(intended, old_is_known=isinstance(old, OldRead))
        apart = tuple(sorted(one.value for one in needed))
        proposed = WriteProposed(intended, old, cautions, self._arguments.value, apart)
        self._output.event(proposed)
        self._output.text(*proposed_lines(intended, old, cautions))
        require_confirmed(Wanted(proposed.confirm, apart), self._arguments, self._parts)
        self._lock.unlock(self._arguments.reason)
        seen = old.words if isinstance(old, OldRead) else ()
        order = WriteOrder(
            intended,
            self._arguments.reason,
            seen,
            frozenset(needed),
            response_timeout_s=timing.response_timeout_s,
            minimum_gap_s=timing.minimum_gap_s,
        )
        is_done = self._do(order)
        return self._put_back() and is_done if self._arguments.put_back else is_done

    def _put_back(self) -> bool:
        """A new reason is not asked for: it was said before the first write that this one follows."""
        if not self._visit.writes:
            return False
        self._lock.unlock(self._arguments.reason)
        order = put_back_order(
            self._visit.writes[0], self._arguments.reason, frozenset({SecondConfirmation.WEARS_MEMORY})
        )
        if order is None:
            raise Failed("the old value was never read: nothing was put back", ExitStatus.NOT_FOUND)
        self._output.text("putting the old value back")
        return self._do(order)

    def _do(self, order: WriteOrder) -> bool:
        earlier = self._session.earlier_writes.count_to(order.intended.target)
        require_orderly(order, earlier + len(self._visit.writes))
        number = len(self._visit.writes) + 1
        write = GuardedWrite(number, order, self._lock)
        for event in self._told(write):
            self._visit = self._visit.after(event)
            self._session.keep(event)
            self._output.event(event)
            self._output.text(*event_lines(order.intended, event))
        return self._is_done(number)

    def _told(self, write: GuardedWrite) -> Iterator[WriteEvent]:
        """Yield what is said of it; stopped in the midst of looking, also what is known by then."""
        try:
            yield from write_and_look(self._asker, write)
        except Stopped:
            if write.has_begun:
                yield write.give_up_looking(self._asker)
            raise

    def _is_done(self, number: int) -> bool:
        one = self._visit.write(number)
        if one is None:
            return False
        if one.begun.intended.is_broadcast or one.begun.intended.write_type is WriteType.TRIGGER:
            return one.answer in (WriteAnswer.NOBODY_ANSWERS, WriteAnswer.CONFIRMED)
        return one.verdict in (Verdict.HELD, Verdict.NO_DIFFERENCE)
