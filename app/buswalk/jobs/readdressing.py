"""Sets one device to another address or speed by writing, and finds out where it is afterwards. A guided job.

    nobody else, and one only? --> old values --> write --> look in all places --> there: over
                                                                |
                                                                not there: supply cycled? --> look --> over

Two devices at one address are looked for before anything is written, for a write would set both. After each write the
device is looked for before the next, for it may be somewhere else already.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator

from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead, ReadHoldingRegisters
from buswalk.domain.modbus.functions.write_multiple_registers import WriteMultipleRegisters
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.outcome import CorruptReply, ExceptionReply, NormalReply, ShortReply, UnexpectedReply
from buswalk.domain.modbus.request import Request
from buswalk.domain.readdressing.ending import end_of, end_words
from buswalk.domain.readdressing.events import (
    CompanyLooked,
    LookedAfter,
    OldSettingsRead,
    PlacesLooked,
    ReaddressBegun,
    ReaddressEnd,
    ReaddressEnded,
    ReaddressEvent,
    RestartSeen,
    RestartWanted,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import (
    COMPANY_WAIT_S,
    SETTLE_S,
    TWIN_LISTEN_S,
    TWIN_LOOKS,
    Reach,
    ReaddressPlan,
    RegisterValue,
)
from buswalk.domain.search.events import Verdict
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_lock import WriteLock
from buswalk.jobs.listening import listen_with
from buswalk.jobs.searching.reading_replies import LEAST_SECOND_ANSWER_BYTES, has_second_answer, is_damaged
from buswalk.jobs.written_answers import ILLEGAL_FUNCTION, answer_of, exception_code_of

LOOKS_AT_A_PLACE = 3
"""A place is silent when so many requests in a row were: one in a hundred lost on a fair line, three never are."""
MOST_DAMAGED = 1
"""Of `TWIN_LOOKS`: one damaged reply is what a fair line brings, two are somebody else."""
RESTART_LOOK_EVERY_S = 0.5
SILENT_LOOKS = 2
"""So many looks in a row without an answer are a supply that is off, and no lost reply."""


class Readdressing:
    """One run of the guided job. It sends nothing that changes anything unless the lock is open."""

    def __init__(self, asker: Asker, lock: WriteLock, plan: ReaddressPlan) -> None:
        self._asker = asker
        self._lock = lock
        self._plan = plan
        self._timing = AskTiming(plan.response_timeout_s)
        self._has_restarted = False

    def run(self) -> Iterator[ReaddressEvent | Heard | ListeningEnded]:
        """Do it; the last event says where the device is.

        Raises:
            GuardRefusal: Writing is locked; nothing was sent.
            PortError: The port was lost; what was done is in the record.
            Stopped: The user's stop, put off between a write and the look behind it.
        """
        self._lock.leave_for(b"")  # locked: not even a look is taken
        plan = self._plan
        yield ReaddressBegun(plan.before, plan.after, plan.writes, plan.reason, self._now_s)
        objection = yield from self._look_before()
        if objection:
            yield ReaddressEnded(ReaddressEnd.GIVEN_UP, (), f"nothing was written: {objection}", self._now_s)
            return
        yield self._old_settings()
        looked = PlacesLooked(LookedAfter.WRITING, plan.places, (plan.before,), self._now_s)
        for one in plan.writes:
            if not looked.answered:
                break
            # Where it is that is nearest to where it should be: a device that keeps both is told at the end.
            to = max(looked.answered, key=plan.places.index)
            with self._asker.without_stopping():
                yield from self._write(to, one)
                looked = self._look_everywhere(LookedAfter.WRITING)
                yield looked
        if looked.answered != (plan.goal,):
            yield from self._over_a_restart(looked)
            looked = self._look_everywhere(LookedAfter.RESTART)
            yield looked
        yield self._ended(looked)

    def look_again(self) -> Iterator[ReaddressEvent]:
        """Write nothing; look where the device is, some time after it was written to. Raises PortError and Stopped."""
        looked = self._look_everywhere(LookedAfter.AGAIN)
        yield looked
        yield self._ended(looked)

    def _ended(self, looked: PlacesLooked) -> ReaddressEnded:
        end = end_of(self._plan, looked.answered, looked.after)
        words = end_words(self._plan, end, looked.answered, has_restarted=self._has_restarted)
        return ReaddressEnded(end, looked.answered, words, self._now_s)

    @property
    def _now_s(self) -> float:
        return self._asker.clock.now_s()

    # Before

    def _look_before(self) -> Generator[ReaddressEvent | Heard | ListeningEnded, None, str]:
        """Find out whether the device is alone; return what speaks against writing, or nothing."""
        self._asker.use_settings(self._plan.before.settings)
        if self._plan.listen_s:
            for heard in listen_with(self._asker, self._plan.listen_s):
                yield heard
                if isinstance(heard, ListeningEnded) and heard.verdict is not Verdict.SILENT:
                    return "something else is sending on this line: take the other client off, and look again"
        company = self._company()
        yield company
        return self._objection(company)

    def _company(self) -> CompanyLooked:
        """Ask everybody else in the device's settings; two devices at its own address spoil each other's replies."""
        plan = self._plan
        self._asker.use_settings(plan.before.settings)
        others, timing = plan.others, AskTiming(COMPANY_WAIT_S)
        heard = tuple(one for one in others if _anything_came(self._asker.ask(one, self._question, timing)))
        return CompanyLooked(len(others), heard, self._now_s)

    def _objection(self, company: CompanyLooked) -> str:
        plan = self._plan
        taken = [one for one in plan.places[1:] if self._answers(one)]
        if taken:
            return f"{taken[0]} answers already: it would not be known which of the two is which"
        if company.others and not plan.may_have_company:
            others = ", ".join(str(one) for one in company.others)
            return f"others answer too: {others}; take them off the pair, so that the device is alone"
        if not self._answers(plan.before):
            return f"nothing right answers at {plan.before}: search for it first, and see that no two have this address"
        return self._twin_words()

    def _twin_words(self) -> str:
        """Ask the same many times: two at one address spoil each other's replies, or answer one behind the other."""
        before, second, damaged = self._plan.before, 0, 0
        self._asker.use_settings(before.settings)
        for _ in range(TWIN_LOOKS):
            exchange = self._asker.ask(before.server_address, self._question, self._timing)
            tail = self._asker.listen_until(self._now_s + TWIN_LISTEN_S)
            is_double = sum(len(one.data) for one in tail) >= LEAST_SECOND_ANSWER_BYTES
            second += is_double or has_second_answer([exchange])
            damaged += is_damaged(exchange)
        if not second and damaged <= MOST_DAMAGED:
            return ""
        seen = f"{second} second answers" if second else f"{damaged} damaged replies"
        return (
            f"{TWIN_LOOKS} questions to {before.server_address} brought {seen}: two devices may share this address, "
            "and both would take what is written; take one of them off the pair"
        )

    def _old_settings(self) -> OldSettingsRead:
        """Note what is about to be replaced, so that it can be put back."""
        plan = self._plan
        self._asker.use_settings(plan.before.settings)
        held = []
        for register_address in dict.fromkeys(one.register_address for one in plan.writes):
            question = ReadHoldingRegisters(register_address, 1)
            outcome = self._asker.ask(plan.before.server_address, question, self._timing).outcome
            if isinstance(outcome, NormalReply) and isinstance(outcome.reply, HoldingRegistersRead):
                held.append(RegisterValue(register_address, outcome.reply.values[0]))
        return OldSettingsRead(tuple(held), self._now_s)

    # Writing

    def _write(self, to: Reach, one: RegisterValue) -> Iterator[SettingWritten]:
        """Write it with 06, or with 10 where the device says that it does not know 06."""
        self._asker.use_settings(to.settings)
        single = WriteSingleRegister(one.register_address, one.value)
        exchange = self._send(to, single)
        yield self._written(to, one, exchange)
        if exception_code_of(exchange) == ILLEGAL_FUNCTION:
            exchange = self._send(to, WriteMultipleRegisters(one.register_address, (one.value,)))
            yield self._written(to, one, exchange)

    def _send(self, to: Reach, request: Request) -> Exchange:
        leave = self._lock.leave_for(build_adu(to.server_address, request.pdu()))
        return self._asker.write(to.server_address, request, self._timing, leave)

    def _written(self, to: Reach, one: RegisterValue, exchange: Exchange) -> SettingWritten:
        answer, code = answer_of(exchange), exception_code_of(exchange)
        return SettingWritten(to, one, exchange.number, answer, code, exchange.ended_s)

    # Looking

    def _look_everywhere(self, after: LookedAfter) -> PlacesLooked:
        self._asker.listen_until(self._now_s + SETTLE_S)
        places = self._plan.places
        answered = tuple(one for one in places if self._answers(one))
        return PlacesLooked(after, places, answered, self._now_s)

    def _answers(self, place: Reach) -> bool:
        return any(self._answers_once(place) for _ in range(LOOKS_AT_A_PLACE))

    def _answers_once(self, place: Reach) -> bool:
        self._asker.use_settings(place.settings)
        exchange = self._asker.ask(place.server_address, self._question, self._timing)
        return isinstance(exchange.outcome, NormalReply | ExceptionReply | UnexpectedReply)

    @property
    def _question(self) -> Request:
        """A register that the device should have; a refusal is an answer too."""
        return ReadHoldingRegisters(self._plan.writes[0].register_address, 1)

    def _over_a_restart(self, looked: PlacesLooked) -> Iterator[ReaddressEvent]:
        """Ask for the supply to be cycled, and notice it: silence where it answered, then an answer anywhere."""
        plan = self._plan
        where = looked.answered[0] if looked.answered else plan.before
        yield RestartWanted(_restart_words(plan, looked), plan.restart_within_s, self._now_s)
        give_up_s = self._now_s + plan.restart_within_s
        silent_since_s = self._now_s
        misses = 0 if looked.answered else SILENT_LOOKS
        while misses < SILENT_LOOKS and self._now_s < give_up_s:
            self._asker.listen_until(self._now_s + RESTART_LOOK_EVERY_S)
            if self._answers_once(where):
                misses, silent_since_s = 0, self._now_s
            else:
                misses += 1
        while misses >= SILENT_LOOKS and self._now_s < give_up_s:
            self._asker.listen_until(self._now_s + RESTART_LOOK_EVERY_S)
            if any(self._answers_once(one) for one in plan.places):
                self._has_restarted = True
                yield RestartSeen(self._now_s - silent_since_s, self._now_s)
                return


def _anything_came(exchange: Exchange) -> bool:
    """Whole frames and damaged ones both say that somebody is there: two at once damage each other's."""
    return isinstance(exchange.outcome, NormalReply | ExceptionReply | UnexpectedReply | CorruptReply | ShortReply)


def _restart_words(plan: ReaddressPlan, looked: PlacesLooked) -> str:
    where = " and ".join(str(one) for one in looked.answered)
    now = f"it answers at {where}" if where else "nothing answers any more"
    return (
        f"{now}: take its supply away for some seconds and give it back, within {plan.restart_within_s / 60:.0f} min; "
        "mind what starts or stops with it, and leave mains to who is licensed for it"
    )


def readdress(asker: Asker, lock: WriteLock, plan: ReaddressPlan) -> Iterator[ReaddressEvent | Heard | ListeningEnded]:
    """Set a device to another address or speed; see `Readdressing.run` for what is raised."""
    return Readdressing(asker, lock, plan).run()
