"""One guarded write: reads the old value, writes one value, reads it back at once and again later.

The later looks are asked for one by one, so that whoever runs this can do other things on the line between them.
"""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_coils import CoilsRead, ReadCoils
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead, ReadHoldingRegisters
from buswalk.domain.modbus.observation import MaybeOld
from buswalk.domain.modbus.outcome import (
    EchoOnly,
    ExceptionReply,
    NoReply,
    NormalReply,
    NotSent,
)
from buswalk.domain.modbus.request import Request
from buswalk.domain.registers.point import WriteType
from buswalk.domain.registers.writing.checks import confirmations_needed, problems_of
from buswalk.domain.registers.writing.events import (
    FoundAsBefore,
    OldNotRead,
    OldRead,
    OldValue,
    ReadBack,
    WriteBegun,
    WriteEvent,
    WriteGivenUp,
    WriteJudged,
    Written,
)
from buswalk.domain.registers.writing.intended import IntendedWrite, SecondConfirmation
from buswalk.domain.registers.writing.order import PutsBack, WriteOrder
from buswalk.domain.registers.writing.verdict import READ_BACK_AFTER_S, Verdict, is_same, verdict_of
from buswalk.domain.registers.writing.visit_writes import MayNotPutBack, may_put_back
from buswalk.domain.registers.writing.words import verdict_meaning, words_in_place
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_guard import GuardRefusal
from buswalk.jobs.asking.write_lock import WriteLeave, WriteLock
from buswalk.jobs.written_answers import ILLEGAL_FUNCTION, answer_of, exception_code_of

READS_TRIED = 2
"""One reply in many is damaged on a poor line; a second look says more than a guess."""


class GuardedWrite:
    """One write from the old value to the verdict. `number` is its own in the session."""

    def __init__(self, number: int, order: WriteOrder, lock: WriteLock) -> None:
        self._number = number
        self._order = order
        self._lock = lock
        self._old: tuple[int, ...] = ()
        self._looks: list[tuple[int, ...]] = []
        self._written_at_s = 0.0
        self._has_begun = False
        self._left_to_look = list(READ_BACK_AFTER_S)

    @property
    def intended(self) -> IntendedWrite:
        """What is written where."""
        return self._order.intended

    @property
    def next_look_s(self) -> float:
        """Line time of the next look; never, if there is none."""
        return self._written_at_s + self._left_to_look[0] if self._left_to_look else float("inf")

    @property
    def has_begun(self) -> bool:
        """Whether its request was sent, or was about to be."""
        return self._has_begun

    @property
    def is_over(self) -> bool:
        """Whether all has been looked at."""
        return not self._left_to_look

    def run(self, asker: Asker) -> Iterator[WriteEvent]:
        """Read the old value, write, read back at once. A stop between these two is put off until the second is done.

        Raises:
            GuardRefusal: Writing is locked; nothing was sent.
            PortError: The port was lost; whether it was written is then in the record, or is not known.
            Stopped: The user's stop.
        """
        self._lock.leave_for(b"")  # locked: not even the old value is read
        asker.use_settings(self.intended.settings)
        old = old_value(asker, self.intended, self._timing)
        self._old = old.words if isinstance(old, OldRead) else ()
        objection = self._objection(old)
        if objection:
            self._left_to_look.clear()
            yield from self._found_as_before(old, asker.clock.now_s())
            yield WriteGivenUp(self.intended, objection, asker.clock.now_s())
            return
        leave = self._leave_for(self.intended.request)
        puts_back, of_session = self._puts_back
        now_s = asker.clock.now_s()
        yield WriteBegun(self._number, self.intended, old, self._order.reason, now_s, puts_back, of_session)
        self._has_begun = True
        with asker.without_stopping():
            yield from self._write(asker, leave)
            if not self.is_over:
                yield self._look_once(asker)
        if self.is_over:
            yield self._judged(asker)

    def look(self, asker: Asker) -> Iterator[WriteEvent]:
        """Take the next look; behind the last one is the verdict.

        Raises:
            PortError: The port was lost; the look can be taken again.
            Stopped: The user's stop.
        """
        asker.use_settings(self.intended.settings)
        yield self._look_once(asker)
        if self.is_over:
            yield self._judged(asker)

    def give_up_looking(self, asker: Asker) -> WriteJudged:
        """Say what is known by the looks so far; there will be no more."""
        self._left_to_look.clear()
        return self._judged(asker)

    # Before

    @property
    def _puts_back(self) -> tuple[int, str]:
        match self._order.purpose:
            case PutsBack(_, of_session) if of_session:
                return 0, of_session
            case PutsBack(write):
                return write.begun.write, ""
            case _:
                return 0, ""

    def _found_as_before(self, old: OldValue, at_s: float) -> Iterator[FoundAsBefore]:
        """Where the value that is to be put back stands there already, the record says so."""
        is_putting_back = isinstance(self._order.purpose, PutsBack)
        if is_putting_back and isinstance(old, OldRead) and is_same(self.intended, old.words, self.intended.words):
            yield FoundAsBefore(self.intended, old.words, old.exchange, at_s)

    def _objection(self, old: OldValue) -> str:
        """Return why nothing is written; empty if nothing speaks against it."""
        order = self._order
        if isinstance(old, OldNotRead) and old.is_silent:
            return silent_words(self.intended)
        if isinstance(order.purpose, PutsBack):
            verdict = may_put_back(order.purpose.write, self._old) if self._old else MayNotPutBack(NOT_READABLE)
            return verdict.sentence if isinstance(verdict, MayNotPutBack) else ""
        if order.seen and not self._old:
            return NOT_READABLE
        if order.seen and not is_same(self.intended, self._old, order.seen):
            now, then = words_in_place(self.intended, self._old), words_in_place(self.intended, order.seen)
            return f"what stands there has changed from {then} to {now} since it was shown: look again, then decide"
        is_accepted = self.intended.is_broadcast or self.intended.write_type is WriteType.TRIGGER
        if isinstance(old, OldNotRead) and not is_accepted:
            return "" if SecondConfirmation.NO_WAY_BACK in order.confirmed else f"{NOT_READABLE} ({old.why})"
        return ""

    def _leave_for(self, request: Request) -> WriteLeave:
        frame = build_adu(self.intended.server_address, request.pdu())
        if self.intended.is_broadcast:
            return self._lock.leave_confirmed_twice(frame, SecondConfirmation.ALL_DEVICES.value)
        return self._lock.leave_for(frame)

    # The write

    def _write(self, asker: Asker, leave: WriteLeave) -> Iterator[Written]:
        intended = self.intended
        exchange = asker.write(intended.server_address, intended.request, self._timing, leave)
        yield self._written(exchange)
        several = intended.request_for_several
        if exception_code_of(exchange) == ILLEGAL_FUNCTION and several != intended.request:
            # The device does not know the function for one; that for several may be the only one it knows.
            exchange = asker.write(intended.server_address, several, self._timing, self._leave_for(several))
            yield self._written(exchange)
        if isinstance(exchange.outcome, NotSent) or not intended.can_be_read:
            self._left_to_look.clear()

    def _written(self, exchange: Exchange) -> Written:
        self._written_at_s = exchange.ended_s
        function = exchange.request.function_code
        answer, code = answer_of(exchange), exception_code_of(exchange)
        return Written(self._number, exchange.number, function, answer, code, exchange.ended_s)

    @property
    def _timing(self) -> AskTiming:
        return AskTiming(self._order.response_timeout_s, self._order.minimum_gap_s)

    # Looking

    def _look_once(self, asker: Asker) -> ReadBack:
        exchange = _read(asker, self.intended, self._timing)
        words = _words_in(exchange)
        self._looks.append(words)
        after_s = self._left_to_look.pop(0)
        verdict = verdict_of(self.intended, self._old, self._looks)
        return ReadBack(self._number, after_s, exchange.number, words, verdict, exchange.ended_s)

    def _judged(self, asker: Asker) -> WriteJudged:
        verdict = verdict_of(self.intended, self._old, self._looks)
        return WriteJudged(self._number, verdict, self._sentence(verdict), asker.clock.now_s())

    def _sentence(self, verdict: Verdict) -> str:
        if self.intended.write_type is WriteType.TRIGGER:
            return "it starts something: look at the plant, for what is read back says nothing"
        if self.intended.is_broadcast:
            return "it went to all devices, and none answers: read each of them"
        return verdict_meaning(verdict)


NOT_READABLE = "what stands there now cannot be read: it could not be put back"


def silent_words(intended: IntendedWrite) -> str:
    """Return why nothing is written to who does not answer."""
    return f"nothing answers at {intended.server_address}, {intended.settings}: it is not written to blindly"


def require_orderly(order: WriteOrder, writes_before: int) -> None:
    """Refuse what its list forbids, and what was not confirmed as it must be; before anything is sent.

    Raises:
        GuardRefusal: One sentence why.
    """
    problems = problems_of(order.intended)
    if problems:
        raise GuardRefusal("; ".join(problems))
    missing = confirmations_needed(order.intended, writes_before) - order.confirmed
    if missing:
        words = " and ".join(sorted(f"'{one.value}'" for one in missing))
        raise GuardRefusal(f"this needs a second confirmation: {words}")


def write_and_look(asker: Asker, write: GuardedWrite) -> Iterator[WriteEvent]:
    """Do all of one write with nothing else between: waits for each look, listening.

    Raises:
        GuardRefusal: Writing is locked; nothing was sent.
        PortError: The port was lost.
        Stopped: The user's stop.
    """
    yield from write.run(asker)
    while not write.is_over:
        asker.listen_until(write.next_look_s)
        yield from write.look(asker)


def old_value(asker: Asker, intended: IntendedWrite, timing: AskTiming) -> OldValue:
    """Return what stands there, read if it can be.

    Raises:
        PortError: The port was lost.
        Stopped: The user's stop.
    """
    if intended.is_broadcast:
        return OldNotRead("it goes to all devices")
    if not intended.can_be_read:
        return OldNotRead("reading it would clear it")
    exchange = _read(asker, intended, timing)
    words = _words_in(exchange)
    if words:
        return OldRead(words, exchange.number)
    return OldNotRead(_why_not_read(exchange), isinstance(exchange.outcome, NoReply | EchoOnly))


def _read(asker: Asker, intended: IntendedWrite, timing: AskTiming) -> Exchange:
    block = intended.block
    request: Request = ReadHoldingRegisters(block.first, block.quantity)
    if block.table.holds_bits:
        request = ReadCoils(block.first, block.quantity)
    for _ in range(READS_TRIED):
        exchange = asker.ask(intended.server_address, request, timing)
        is_answer = isinstance(exchange.outcome, NormalReply | ExceptionReply)
        if is_answer and not any(isinstance(one, MaybeOld) for one in exchange.observations):
            break
    return exchange


def _words_in(exchange: Exchange) -> tuple[int, ...]:
    match exchange.outcome:
        case NormalReply(reply=HoldingRegistersRead(values=values)):
            return values
        case NormalReply(reply=CoilsRead(states=states)):
            return tuple(int(one) for one in states)
        case _:
            return ()


def _why_not_read(exchange: Exchange) -> str:
    match exchange.outcome:
        case ExceptionReply(exception_code=code):
            return f"refused, exception {code:02X}: {exception_meaning(code).name}"
        case NoReply() | EchoOnly():
            return "no reply"
        case NotSent(sentence=sentence):
            return sentence
        case _:
            return "no right reply"
