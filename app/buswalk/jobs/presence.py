"""Asks all that answer in turn, and says who went quiet, who is back, and how long a round takes."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from dataclasses import replace

from buswalk.domain.line.sent import Sent
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    DamagedEcho,
    EchoOnly,
    ForeignReply,
    NoReply,
    NotSent,
    ShortReply,
)
from buswalk.domain.presence.events import AnsweredLate, CameBack, PresenceBase, PresenceEvent, PresenceRound, WentQuiet
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.presence.roll import Roll, RollEntry, Standing
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.listening import listen_with
from buswalk.jobs.presence_among_others import watch_among_others
from buswalk.jobs.searching.evidence import Evidence

REST_S = 0.5
"""After a silence, before a device whose own silence is to count: some lose a request that comes sooner."""
BETWEEN_ROUNDS_S = 0.2
PATIENT_WAIT_S = 1.0
"""For those that were silent when they were asked first."""
FOREIGN_REPEATS = 2
"""A late reply of another device can come in place of the right one so often, before the silence is believed."""

NEARLY_ALL = 0.99
"""Of a wait; times are sums of floats."""

HOLDING, INPUT = ReadHoldingRegisters(0, 1), ReadInputRegisters(0, 1)


class PresenceWatch:
    """One presence watch. It runs until it is stopped, or until `is_enough`, which is looked at between rounds."""

    def __init__(
        self, asker: Asker, evidence: Evidence, plan: PresencePlan, is_enough: Callable[[], bool] = lambda: False
    ) -> None:
        self._asker = asker
        self._evidence = evidence
        self._plan = plan
        self._is_enough = is_enough
        self._roll = Roll(plan.devices)
        self._was_silence = False
        """Whether the last request stayed without a reply."""

    def run(self) -> Iterator[PresenceEvent]:
        """Listen, take the base, then ask round after round.

        Raises:
            PortError: The port was lost.
            Stopped: The user's stop, which is how it ends.
        """
        if self._plan.listen_s:
            verdict = yield from self._listen_first()
            if verdict is not Verdict.SILENT and not self._plan.may_ask_living_line:
                yield LivingLine(verdict, "something is sending on this line; nothing was asked")
                return
            if verdict is not Verdict.SILENT:
                yield from watch_among_others(self._asker, self._evidence, self._plan, self._ask_all)
                return
        yield from self._ask_all()

    def _ask_all(self) -> Iterator[PresenceEvent]:
        yield from self._take_base()
        number = 0
        while not self._is_enough():
            number += 1
            yield from self._round(number)

    def _listen_first(self) -> Generator[PresenceEvent, None, Verdict]:
        verdict = Verdict.SILENT
        self._asker.use_settings(self._plan.devices[0].settings)
        for event in listen_with(self._asker, self._plan.listen_s):
            if isinstance(event, ListeningEnded):
                verdict = event.verdict
                yield event
        return verdict

    def _take_base(self) -> Iterator[PresenceEvent]:
        """All are asked once, the silent ones more patiently and also otherwise: that shows what they need."""
        for entry in self._roll.entries:
            self._ask(entry)
        for entry in self._roll.entries:
            if entry.standing is not Standing.ANSWERS:
                self._ask_patiently(entry)
        for _ in self._late():
            pass
        self._roll.take_base()
        silent = self._roll.addresses(Standing.NEVER_HEARD)
        yield PresenceBase(self._roll.addresses(Standing.ANSWERS), silent, self._asker.clock.now_s())

    def _ask_patiently(self, entry: RollEntry) -> None:
        """After a rest and with a long wait; then with the other function, then at other settings."""
        self._rest()
        now = self._ask(entry, PATIENT_WAIT_S)
        if now.standing is Standing.ANSWERS:
            if now.longest_s < entry.wait_s:
                self._roll.needs_gap(entry.place, REST_S)
            return
        device = entry.device
        otherwise = [replace(device, request=HOLDING if device.request == INPUT else INPUT)]
        also_at = self._plan.also_at
        otherwise += [replace(device, settings=one) for address, one in also_at if address == device.server_address]
        for one in otherwise:
            self._roll.ask_as(entry.place, one)
            self._rest()
            if self._ask(self._roll.entry(entry.place), PATIENT_WAIT_S).standing is Standing.ANSWERS:
                return
        self._roll.ask_as(entry.place, device)

    def _round(self, number: int) -> Iterator[PresenceEvent]:
        self._asker.listen_until(self._asker.clock.now_s() + BETWEEN_ROUNDS_S)
        began_s = self._asker.clock.now_s()
        if self._was_silence:
            self._rest()
        for place in self._roll.round(number):
            entry = self._roll.entry(place)
            if self._was_silence and entry.is_shadowed and entry.standing is Standing.MISSED:
                self._rest()
            yield from self._tell(entry, self._ask(entry))
            yield from self._late()
        now_s = self._asker.clock.now_s()
        quiet = len(self._roll.addresses(Standing.QUIET))
        answering = len(self._roll.addresses(Standing.ANSWERS, Standing.MISSED))
        yield PresenceRound(number, now_s - began_s, answering, quiet, self._roll.slow, now_s)

    def _rest(self) -> None:
        self._asker.listen_until(self._asker.clock.now_s() + REST_S)
        self._was_silence = False

    def _ask(self, entry: RollEntry, least_wait_s: float = 0.0) -> RollEntry:
        """Ask one device; return how it stands then."""
        device, place = entry.device, entry.place
        self._asker.use_settings(device.settings)
        timing = AskTiming(max(entry.wait_s, least_wait_s), entry.gap_s)
        for _ in range(1 + FOREIGN_REPEATS):
            exchange = self._asker.ask(device.server_address, device.request, timing)
            if not isinstance(exchange.outcome, ForeignReply):
                break
        self._roll.asked(place, sent_at_s(exchange))
        return self._judge(place, exchange)

    def _judge(self, place: int, exchange: Exchange) -> RollEntry:
        """What was never sent tells nothing, nor do bytes without its address: glitches come from a floating pair."""
        was_silence = self._was_silence
        match exchange.outcome:
            case NotSent():
                return self._roll.entry(place)
            case NoReply() if _is_cut_short(exchange, self._roll.entry(place).wait_s):
                return self._roll.entry(place)
            case NoReply() | EchoOnly() | DamagedEcho() | ForeignReply():
                self._was_silence = True
                return self._roll.was_silent(place, is_shadowed=was_silence)
            case CorruptReply() | ShortReply() if exchange.server_address not in exchange.received:
                return self._roll.entry(place)
            case _:
                self._was_silence = False
                if isinstance(exchange.turnaround, Turnaround):
                    self._roll.took(place, exchange.turnaround.not_more_than_s)
                self._roll.heard(place)
                return self._roll.entry(place)

    def _tell(self, before: RollEntry, now: RollEntry) -> Iterator[PresenceEvent]:
        """Say what has changed."""
        device, at_s = before.device, self._asker.clock.now_s()
        if now.standing is Standing.QUIET and before.standing is not Standing.QUIET:
            yield WentQuiet(device.server_address, device.settings, now.silent_since_s, at_s)
        elif now.standing is Standing.ANSWERS and before.standing in (Standing.QUIET, Standing.NEVER_HEARD):
            yield CameBack(device.server_address, device.settings, at_s - before.silent_since_s, at_s)

    def _late(self) -> Iterator[PresenceEvent]:
        """Who answers late is there, and its wait is longer from now on."""
        for reply in self._evidence.take_late():
            for place in self._roll.place_of(reply.server_address, self._asker.settings):
                entry = self._roll.entry(place)
                took_s = max(0.0, reply.at_s - entry.asked_s)
                self._roll.took(place, took_s)
                before = self._roll.heard(place)
                now_s = self._asker.clock.now_s()
                yield AnsweredLate(reply.server_address, self._asker.settings, took_s, now_s)
                yield from self._tell(before, self._roll.entry(place))


def _is_cut_short(exchange: Exchange, wait_s: float) -> bool:
    """Tell whether a device was given less time than it may take, to leave another client its pause."""
    return isinstance(exchange.sent, Sent) and exchange.ended_s - exchange.sent.end_not_after_s < wait_s * NEARLY_ALL


def watch_presence(asker: Asker, evidence: Evidence, plan: PresencePlan) -> Iterator[PresenceEvent]:
    """Watch until stopped. The evidence is the sink of the asker, or is fed by it."""
    return PresenceWatch(asker, evidence, plan).run()
