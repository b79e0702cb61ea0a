"""One guarded write on the command line, in order: propose, confirm, unlock, write, look; and putting back."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from buswalk.cli.confirming import Wanted, require_confirmed
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts
from buswalk.cli.recording import CommandSession
from buswalk.cli.write_words import event_lines, proposed_lines
from buswalk.domain.registers.point import WriteType
from buswalk.domain.registers.writing.checks import Caution, cautions_of, confirmations_needed
from buswalk.domain.registers.writing.events import (
    FoundAsBefore,
    OldNotRead,
    OldRead,
    OldValue,
    WriteAnswer,
    WriteEvent,
)
from buswalk.domain.registers.writing.intended import IntendedWrite, SecondConfirmation
from buswalk.domain.registers.writing.order import NewValue, Purpose, PutsBack, WriteOrder, put_back_order
from buswalk.domain.registers.writing.second_thoughts import (
    NO_WAY_BACK_WORDS,
    NONE_ANSWERS,
    RAM_INSTEAD,
    all_devices_words,
    typed_confirmation,
    wear_so_far,
    wear_words,
)
from buswalk.domain.registers.writing.verdict import Verdict, is_same
from buswalk.domain.registers.writing.visit_writes import Change, MayNotPutBack, VisitWrites, may_put_back
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_lock import WriteLock
from buswalk.jobs.writing import NOT_READABLE, GuardedWrite, old_value, require_orderly, silent_words, write_and_look


@dataclass(frozen=True, slots=True)
class WriteProposed:
    """What would be written over what, and what must be read and typed before.

    Attributes:
        confirm: Must be confirmed word for word.
        confirm_apart: The same, each apart.
        weighed: What is to be weighed before each of these.
    """

    intended: IntendedWrite
    old: OldValue
    cautions: tuple[Caution, ...]
    confirm: str
    confirm_apart: tuple[str, ...]
    weighed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Decided:
    """What is written, what a person types for it, and why."""

    intended: IntendedWrite
    confirm: str
    purpose: Purpose


def can_be_put_back(intended: IntendedWrite) -> bool:
    """Tell whether there can be an old value to put back."""
    return intended.can_be_read and intended.write_type is not WriteType.TRIGGER


class GuardedWriting:
    """Writes of one run."""

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

    # What is asked for

    def write(self, intended: IntendedWrite, confirm: str) -> bool:
        """Write a value once it was confirmed; return whether it holds."""
        return self._confirmed_and_done(_Decided(intended, confirm, NewValue()))

    def put_change_back(self, change: Change, confirm: str, of_session: str) -> bool:
        """Put back what an earlier session changed, once it was confirmed; return whether it stands there again."""
        order = put_back_order(change.whole, self._arguments.reason, of_session=of_session)
        if order is None:
            raise Failed(NEVER_READ, ExitStatus.NOT_FOUND)
        return self._confirmed_and_done(_Decided(order.intended, confirm, order.purpose))

    def put_own_back(self) -> bool:
        """Put back the first write of this run. Its reason was said before, so none is asked for."""
        if not self._visit.writes:
            return False
        self._lock.unlock(self._arguments.reason)
        order = put_back_order(
            self._visit.writes[0], self._arguments.reason, frozenset({SecondConfirmation.WEARS_MEMORY})
        )
        if order is None:
            raise Failed(NEVER_READ, ExitStatus.NOT_FOUND)
        self._output.text("putting the old value back")
        return self._do(order)

    # In order

    def _confirmed_and_done(self, decided: _Decided) -> bool:
        intended = decided.intended
        timing = AskTiming(self._arguments.timeout, self._arguments.pause)
        self._asker.use_settings(intended.settings)
        old = old_value(self._asker, intended, timing)
        if isinstance(old, OldNotRead) and old.is_silent:
            raise Failed(f"nothing was written: {silent_words(intended)}", ExitStatus.NOT_FOUND)
        if isinstance(decided.purpose, PutsBack) and self._stands_already(decided.purpose, intended, old):
            return True
        needed = self._needed(intended, old)
        self._propose(decided, old, needed)
        self._lock.unlock(self._arguments.reason)
        seen = old.words if isinstance(old, OldRead) else ()
        return self._do(
            WriteOrder(
                intended,
                self._arguments.reason,
                seen,
                needed,
                decided.purpose,
                response_timeout_s=timing.response_timeout_s,
                minimum_gap_s=timing.minimum_gap_s,
            )
        )

    def _stands_already(self, purpose: PutsBack, intended: IntendedWrite, old: OldValue) -> bool:
        """Tell whether nothing is left to put back, which the record then says.

        Raises:
            Failed: It may not be put back.
        """
        if not isinstance(old, OldRead):
            raise Failed(f"nothing was written: {NOT_READABLE} ({old.why})", ExitStatus.NOT_FOUND)
        if is_same(intended, old.words, intended.words):
            self._tell(intended, FoundAsBefore(intended, old.words, old.exchange, self._asker.clock.now_s()))
            return True
        verdict = may_put_back(purpose.write, old.words)
        if isinstance(verdict, MayNotPutBack):
            raise Failed(f"nothing was written: {verdict.sentence}", ExitStatus.NOT_FOUND)
        return False

    def _needed(self, intended: IntendedWrite, old: OldValue) -> frozenset[SecondConfirmation]:
        needed = confirmations_needed(intended, self._session.earlier.of_visit.count_to(intended.target))
        is_without_way_back = not isinstance(old, OldRead) and can_be_put_back(intended)
        return needed | {SecondConfirmation.NO_WAY_BACK} if is_without_way_back else needed

    def _propose(self, decided: _Decided, old: OldValue, needed: frozenset[SecondConfirmation]) -> None:
        """Show what would be written, and have it confirmed. Raises WrongUse."""
        intended = decided.intended
        cautions = cautions_of(intended, old_is_known=isinstance(old, OldRead))
        known = self._session.known_addresses
        apart = tuple(sorted(typed_confirmation(one, known) for one in needed))
        weighed = self._weighed(intended, needed)
        self._output.event(WriteProposed(intended, old, cautions, decided.confirm, apart, weighed))
        self._output.text(*proposed_lines(intended, old, cautions), *(f"  {one}" for one in weighed))
        require_confirmed(Wanted(decided.confirm, apart), self._arguments, self._parts)

    def _weighed(self, intended: IntendedWrite, needed: frozenset[SecondConfirmation]) -> tuple[str, ...]:
        words = []
        if SecondConfirmation.ALL_DEVICES in needed:
            words += [all_devices_words(self._session.known_addresses), NONE_ANSWERS]
        if SecondConfirmation.WEARS_MEMORY in needed:
            earlier = self._session.earlier
            began = {one.session: datetime.fromisoformat(one.wall_time) for one in earlier.sessions}
            now = datetime.fromisoformat(self._session.wall_time(self._asker.clock.now_s()))
            words += [wear_words(wear_so_far(earlier.of_visit, intended.target, began, now)), RAM_INSTEAD]
        if SecondConfirmation.NO_WAY_BACK in needed:
            words.append(NO_WAY_BACK_WORDS)
        return tuple(words)

    def _do(self, order: WriteOrder) -> bool:
        earlier = self._session.earlier.of_visit.count_to(order.intended.target)
        require_orderly(order, earlier + len(self._visit.writes))
        number = len(self._visit.writes) + 1
        write = GuardedWrite(number, order, self._lock)
        for event in self._told(write):
            self._tell(order.intended, event)
        return self._is_done(number)

    def _tell(self, intended: IntendedWrite, event: WriteEvent) -> None:
        self._visit = self._visit.after(event)
        self._session.keep(event)
        self._output.event(event)
        self._output.text(*event_lines(intended, event))

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


NEVER_READ = "the old value was never read: nothing was put back"
