"""Drives a search: listens, asks in order of what is gained per second, holds still for energy, confirms hits."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Iterator
from dataclasses import replace

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LateReply
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.verdict import verdict_of
from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply, ForeignReply, NormalReply, NotSent, UnexpectedReply
from buswalk.domain.search.energy import EnergyJudge, Reaction
from buswalk.domain.search.events import (
    AnswersEverywhere,
    AskedRested,
    Depth,
    HeldStill,
    LivingLine,
    SearchEnd,
    SearchEnded,
    SearchEvent,
    SearchMemory,
    SearchPlan,
    SearchProgress,
    SettingsNotCarried,
    Verdict,
)
from buswalk.domain.search.probe import Probe, ProbeFunction, Shape
from buswalk.domain.search.suspicion import Energy, Suspect
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.carried_settings import answers_at_another_speed, askable_settings
from buswalk.jobs.searching.confirming import LONG_PAUSE_S, Confirmation
from buswalk.jobs.searching.controls import UNLIKELY_ADDRESSES, control_addresses
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.framing_look import SOON_S, Framed, FramingLook
from buswalk.jobs.searching.ledger import KEPT_S, Ledger
from buswalk.jobs.searching.listening_first import listen_first
from buswalk.jobs.searching.probe_queue import PROGRESS_EVERY, ProbeQueue, Turns
from buswalk.jobs.searching.reading_replies import first_heard_s, is_answer_to, is_loud, request_ended_s
from buswalk.jobs.searching.search_words import all_asked_words, all_passed_words, living_words, never_quiet_words
from buswalk.jobs.searching.silent_addresses import silent_asked_with
from buswalk.jobs.searching.thorough_queue import ThoroughQueue

LOOK_BACK_RESTLESS_S = 0.3
RESTLESS_GAP_S = 0.25
"""Longer than other clients usually pause between the requests of one round (judgement, no source).

Halved each time the line does not grant it.
"""
RESTLESS_WAIT_S = 0.5
MOST_LOUD_SUSPECTED = 4
"""So many more times bytes that are no answer, and the line is first left alone."""
HEARD_KEPT = 64
GIVEN_UP_BEFORE_END = 2
"""Settings at which bytes followed every request; with nothing found anywhere, the line itself is to blame."""


def search(asker: Asker, evidence: Evidence, plan: SearchPlan) -> Iterator[SearchEvent]:
    """Yield what is found, as it is found.

    `evidence` must be among the sinks of the asker: it is where late replies and stray bytes come in.

    Raises:
        PortError: The port was lost; `Search.memory` still knows what was asked.
    """
    return Search(asker, evidence, plan).run()


class Search:
    """One search. `memory` is what a later one needs to ask nothing twice, at any moment."""

    def __init__(self, asker: Asker, evidence: Evidence, plan: SearchPlan) -> None:
        self._asker = asker
        self._evidence = evidence
        self._plan = plan
        self._ledger = Ledger(plan.memory)
        self._heard: deque[Arrival] = deque(maxlen=HEARD_KEPT)
        self._is_living = False
        self._judges: dict[SerialSettings, EnergyJudge] = {}
        self._gap_s = RESTLESS_GAP_S
        self._queue = ProbeQueue(asker, plan, self._ledger)
        self._framing = FramingLook(asker, self._ledger)
        is_quick = plan.depth is Depth.QUICK
        self._turns: Turns = self._queue if is_quick else ThoroughQueue(asker, plan, self._ledger)
        self._began_s = asker.clock.now_s()

    @property
    def memory(self) -> SearchMemory:
        """What has been asked and found so far; requests whose answer was still awaited count as not asked."""
        return self._ledger.memory

    def run(self) -> Iterator[SearchEvent]:
        """Do it."""
        if self._plan.listen_s:
            verdict = yield from listen_first(self._asker, self._plan.listen_s)
            self._evidence.take_strays()
            if verdict is not Verdict.SILENT and not self._plan.may_probe_living_line:
                yield LivingLine(verdict, living_words(verdict))
                yield self._ended(SearchEnd.LIVING_LINE, "nothing was asked: the line is not quiet")
                return
            self._is_living = verdict is not Verdict.SILENT
        settings, remarks = askable_settings(self._plan.settings, self._asker.traits)
        yield from remarks
        yield from self._ask_all(settings)

    # Asking in order

    def _ask_all(self, settings: dict[SerialSettings, float]) -> Iterator[SearchEvent]:
        self._turns.put_in_order(settings)
        yield self._turns.forecast()
        known = self._ledger.lessons
        while (due := self._turns.next()) is not None:
            probe, exchange = due.probe, self._ask(due.probe, due.timing)
            if isinstance(exchange.outcome, NotSent):
                yield self._never_quiet(exchange.outcome.sentence)
                return
            reaction = yield from self._weigh(probe, exchange)
            if reaction is Reaction.GIVE_UP:
                self._ledger.given_up.add(probe.settings)
                verdict = verdict_of(self._heard, decode(self._heard, probe.settings))
                if not self._ledger.found and (
                    verdict is Verdict.HELD or len(self._ledger.given_up) >= GIVEN_UP_BEFORE_END
                ):
                    yield self._never_quiet(never_quiet_words(verdict))
                    return
            if self._ledger.found:
                yield from self._framing.learn_two_stop_bits(settings, self._soon(probe.settings))
            if self._ledger.lessons != known:
                settings = yield from self._carried(settings)
                known = self._ledger.lessons
                self._turns.put_in_order(settings)
            yield from self._turns.standing(probe.settings)
        yield from self._late_energy()
        if self._plan.depth is Depth.QUICK:
            yield from self._ask_planned_patiently(settings)
            yield from self._ask_rested(settings)
        yield from silent_asked_with(self._plan.addresses, settings, self._ledger)
        yield self._ended(SearchEnd.ALL_ASKED, self._all_asked_words())

    def _all_asked_words(self) -> str:
        is_restless, given_up = self._is_restless(), len(self._ledger.given_up)
        if self._plan.depth is Depth.THOROUGH:
            return all_passed_words(is_restless=is_restless, given_up=given_up)
        return all_asked_words(self._plan.wait_s, is_restless=is_restless, given_up=given_up)

    def _ask_planned_patiently(self, settings: dict[SerialSettings, float]) -> Iterator[SearchEvent]:
        """Before a planned address is called silent: once more after a long pause, with a long wait.

        Some devices keep silent unless the line has rested, or for a while after a request to an absent neighbour.
        """
        found = {one.server_address for one in self._ledger.found}
        silent = [one for one in self._plan.addresses if one in self._plan.planned and one not in found]
        patient = AskTiming(self._plan.long_wait_s, minimum_gap_s=LONG_PAUSE_S)
        for one in [one for one in settings if one in self._ledger.found_at] or list(settings)[:1]:
            for address in silent:
                probe = Probe(one, address, ProbeFunction.HOLDING_REGISTERS)
                if self._ledger.is_settled(probe):
                    continue
                exchange = self._ask(probe, patient)
                if self._ledger.is_hit(exchange) and not self._ledger.is_like_everywhere(exchange):
                    yield from self._hit(probe, exchange)
        self._forget_energy()

    def _ask_rested(self, settings: dict[SerialSettings, float]) -> Iterator[SearchEvent]:
        """Where nothing at all was heard, a server may have been kept from answering by our haste."""
        if self._ledger.known_count or self._ledger.answered_at or self._ledger.given_up or self._is_restless():
            return
        first = next(iter(settings))
        probes = self._queue.rested(first)
        rested = AskTiming(self._plan.wait_s, minimum_gap_s=LONG_PAUSE_S)
        needed_s = self._queue.rested_s(first, LONG_PAUSE_S)
        yield AskedRested(first, len(probes), LONG_PAUSE_S, needed_s)
        for count, probe in enumerate(probes):
            if not self._ledger.is_settled(probe):
                yield from self._weigh(probe, self._ask(probe, rested))
            if count % PROGRESS_EVERY == 0:
                yield SearchProgress(count, len(probes), first, needed_s * (1.0 - count / len(probes)))

    def _carried(
        self, settings: dict[SerialSettings, float]
    ) -> Generator[SearchEvent, None, dict[SerialSettings, float]]:
        """Return the settings still worth asking in, now that something answers."""
        if self._asker.traits.carries_framing or len(settings) == 1:
            return settings
        known = self._ledger.known_question() or Probe(
            next(iter(self._ledger.everywhere)), UNLIKELY_ADDRESSES[0], ProbeFunction.HOLDING_REGISTERS
        )
        if not answers_at_another_speed(self._asker, known, settings, self._patient(known.settings)):
            return settings
        yield SettingsNotCarried(known.settings)
        return {known.settings: 1.0}

    def _ask(self, probe: Probe, timing: AskTiming) -> Exchange:
        self._asker.use_settings(probe.settings)
        self._ledger.asks(probe)
        exchange = self._asker.ask(probe.server_address, probe.request(), timing)
        self._heard.extend(exchange.arrivals)
        self._ledger.has_asked(probe, request_ended_s(exchange), self._asker.clock.now_s())
        return exchange

    # What came

    def _weigh(self, probe: Probe, exchange: Exchange) -> Generator[SearchEvent, None, Reaction | None]:
        """Look at what came of a probe; return what was decided about energy, if there was any."""
        late = self._evidence.take_late()
        heard_s = min(self._evidence.heard_at_s, first_heard_s(exchange))
        energy = Energy(heard_s, probe.settings, self._evidence.heard + exchange.received)
        strays = self._evidence.take_strays()
        if self._ledger.is_like_everywhere(exchange):
            return None
        if not late and (yield from self._older(exchange, heard_s)):
            return None
        if self._ledger.is_hit(exchange) and not (late and isinstance(exchange.outcome, ForeignReply)):
            yield from self._answered(probe, exchange)
            return None
        for reply in late:
            yield from self._late(probe.settings, reply)
        if not late and is_loud(exchange) and (framed := self._framed(probe, exchange)) is not None:
            yield from self._hit(framed.probe, framed.exchange)
            return None
        if late or not (strays or is_loud(exchange)) or self._ledger.is_of_known_device(exchange):
            self._judge(probe.settings).was_quiet()
            return None
        reaction = self._judge(probe.settings).was_loud()
        if reaction is Reaction.HOLD_STILL:
            yield from self._hold_still(energy)
        elif reaction is Reaction.ASK_AGAIN:
            yield from self._ask_again(probe)
        return reaction

    def _late(self, settings: SerialSettings, reply: LateReply) -> Iterator[SearchEvent]:
        """A late whole frame is credited by its own address and function."""
        asked = self._ledger.last_asked_as(reply.adu[0], reply.adu[1] & ~EXCEPTION_BIT, settings)
        if asked is not None and not self._ledger.is_settled(asked):
            yield from self._hit_late(asked, settings, reply.at_s)

    def _hit_late(self, asked: Probe, heard_in: SerialSettings, at_s: float) -> Iterator[SearchEvent]:
        yield from self._hit(self._framing.look_late(asked, heard_in, at_s, self._patient(asked.settings)))

    @staticmethod
    def _is_framed_by(probe: Probe, exchange: Exchange) -> bool:
        """Whether damaged bytes may be the answer of a device with parity to a request that was sent without."""
        return probe.shape is Shape.ONE_PARITY and probe.server_address in exchange.received

    def _older(self, exchange: Exchange, heard_s: float) -> Generator[SearchEvent, None, bool]:
        """Look closer where a whole frame answers an older request; tell whether something came of it."""
        older = self._older_answered(exchange)
        if older is None:
            return False
        known = self._ledger.known_count
        yield from self._hit_late(older, exchange.settings, heard_s)
        return self._ledger.known_count > known

    def _older_answered(self, exchange: Exchange) -> Probe | None:
        """Return the request that a whole frame answers which came after settings were changed and changed back."""
        match exchange.outcome:
            case ForeignReply(adu=adu) | UnexpectedReply(adu=adu):
                older = self._ledger.last_asked_as(adu[0], adu[1] & ~EXCEPTION_BIT, exchange.settings)
                is_open = older is not None and not self._ledger.is_settled(older)
                return older if is_open and is_answer_to(older.request(), adu) else None
            case _:
                return None

    def _framed(self, probe: Probe, exchange: Exchange, wait_s: float = 0.0) -> Framed | None:
        """Return the ordinary request that is answered where a one-parity one was, if only by damaged bytes."""
        if not self._is_framed_by(probe, exchange):
            return None
        soon = self._soon(probe.settings)
        soon = replace(soon, response_timeout_s=max(wait_s, soon.response_timeout_s))
        return self._framing.look_after(probe, exchange, soon)

    def _answered(self, probe: Probe, exchange: Exchange, wait_s: float = 0.0) -> Iterator[SearchEvent]:
        """Look closer where something answered; first in which framing, if the request reached two."""
        if self._ledger.is_settled(probe):
            return
        framed = self._framed(probe, exchange, wait_s)
        if framed is not None:
            yield from self._hit(framed.probe, framed.exchange)
        else:
            yield from self._hit(probe.ordinary(probe.settings), exchange)

    def _hit(self, probe: Probe, *before: Exchange) -> Iterator[SearchEvent]:
        """Look closer where something answered; `memory` forgets the probe until that is done."""
        self._judge(probe.settings).was_quiet()
        if self._ledger.is_settled(probe):
            return
        self._ledger.looks_at(probe)
        if self._ledger.is_first_look(probe.settings):
            event = self._everywhere_from(probe)
            if event is not None:
                yield event
                if event.exception_code == 0 or not before or self._ledger.is_like_everywhere(before[-1]):
                    self._ledger.has_looked_at(probe)
                    return
        result = Confirmation(self._asker, self._patient(probe.settings)).look(probe, before)
        self._ledger.has_looked_at(probe)
        late = [one for one in self._evidence.take_late() if one.server_address != probe.server_address]
        self._evidence.take_strays()
        if result is not None and self._ledger.add(result):
            self._judge(probe.settings).found_something()
            yield result
        for reply in late:
            yield from self._late(probe.settings, reply)

    def _everywhere_from(self, probe: Probe) -> AnswersEverywhere | None:
        """Ask where nobody should be; answers there mean that the address is ignored."""
        controls = self._controls(probe)
        codes: list[int] = []
        for address in controls:
            match self._ask(Probe(probe.settings, address, probe.function), self._patient(probe.settings)).outcome:
                case NormalReply():
                    codes.append(0)
                case ExceptionReply(exception_code=code):
                    codes.append(code)
                case _:
                    return None
        common = max(set(codes), key=codes.count)
        self._ledger.everywhere[probe.settings] = common
        return AnswersEverywhere(probe.settings, (probe.server_address, *controls), len(self._ledger.asked), common)

    def _controls(self, probe: Probe) -> tuple[int, ...]:
        known = self._plan.planned | {one.server_address for one in self._ledger.found} | {probe.server_address}
        return control_addresses(known)

    # Energy

    def _judge(self, settings: SerialSettings) -> EnergyJudge:
        return self._judges.setdefault(settings, EnergyJudge(is_living=self._is_living))

    def _is_restless(self) -> bool:
        return self._is_living or any(one.is_restless for one in self._judges.values())

    def _patient(self, settings: SerialSettings) -> AskTiming:
        """Return the timing of second questions: long waits, or on a restless line a pause before and a shorter one."""
        if self._judge(settings).is_restless:
            return AskTiming(min(RESTLESS_WAIT_S, self._plan.long_wait_s), minimum_gap_s=self._gap_s)
        return AskTiming(self._plan.long_wait_s)

    def _soon(self, settings: SerialSettings) -> AskTiming:
        """Return the timing of a question to one that has just answered."""
        return self._patient(settings) if self._is_restless() else AskTiming(SOON_S)

    def _hold_still(self, energy: Energy) -> Iterator[SearchEvent]:
        """Ask the last requests again: those at once that may have been answered just then, after silence all."""
        settings = energy.heard_in
        suspects, suspected = self._queue.suspects(KEPT_S), self._queue.suspected(energy)
        yield HeldStill(settings, tuple(dict.fromkeys(probe.server_address for probe in suspects)))
        known = self._ledger.known_count
        yield from self._ask_suspected(suspected)
        self._heard.extend(self._asker.listen_until(self._asker.clock.now_s() + self._plan.long_wait_s))
        yield from self._credit(settings)
        is_explained = self._ledger.known_count > known
        comes_again = is_explained and self._plan.depth is Depth.THOROUGH
        if not comes_again and (is_explained or not self._is_loud_by_itself(settings)):
            yield from self._ask_suspects(suspects)
        self._forget_energy()

    def _ask_suspected(self, suspected: list[Suspect]) -> Iterator[SearchEvent]:
        """Each with the wait in which it would have made those bytes; only a right answer counts here."""
        known, loud = self._ledger.known_count, 0
        for one in suspected:
            exchange = self._ask(one.probe, AskTiming(min(one.wait_s, self._plan.long_wait_s)))
            yield from self._credit(one.probe.settings)
            if (yield from self._older(exchange, first_heard_s(exchange))):
                return
            if self._ledger.is_hit(exchange) or (is_loud(exchange) and self._is_framed_by(one.probe, exchange)):
                yield from self._answered(one.probe, exchange, one.wait_s)
            loud += is_loud(exchange)
            if self._ledger.known_count > known or loud >= MOST_LOUD_SUSPECTED:
                return

    def _ask_suspects(self, suspects: list[Probe]) -> Iterator[SearchEvent]:
        for probe in suspects:
            if self._ledger.is_settled(probe):
                continue
            exchange = self._ask(probe, self._patient(probe.settings))
            yield from self._credit(probe.settings)
            if self._ledger.is_hit(exchange):
                yield from self._answered(probe, exchange)
            elif is_loud(exchange):
                known = self._ledger.known_count
                yield from self._answered(probe, exchange)
                if self._ledger.known_count == known and self._is_loud_by_itself(probe.settings):
                    return

    def _ask_again(self, probe: Probe) -> Iterator[SearchEvent]:
        """The last few requests once more, after a pause that lets another client finish its round."""
        for suspect in self._queue.suspects(LOOK_BACK_RESTLESS_S):
            if self._ledger.is_settled(suspect):
                continue
            exchange = self._ask(suspect, AskTiming(self._plan.wait_s, minimum_gap_s=self._gap_s))
            yield from self._credit(suspect.settings)
            if isinstance(exchange.outcome, NotSent):
                self._gap_s /= 2
                continue
            if not is_loud(exchange):
                self._judge(suspect.settings).was_quiet()
            if self._ledger.is_hit(exchange) or (is_loud(exchange) and not self._is_loud_by_itself(probe.settings)):
                yield from self._answered(suspect, exchange)
        self._forget_energy()

    def _is_loud_by_itself(self, settings: SerialSettings) -> bool:
        """Ask where nobody should be: bytes that come there too are not of the device under suspicion."""
        likely = Probe(settings, UNLIKELY_ADDRESSES[0], ProbeFunction.HOLDING_REGISTERS)
        self._asker.use_settings(settings)
        for address in self._controls(likely)[:2]:
            self._evidence.take_strays()
            exchange = self._asker.ask(address, likely.request(), self._patient(settings))
            self._heard.extend(exchange.arrivals)
            if is_loud(exchange) or self._evidence.take_strays():
                return True
        return False

    def _credit(self, settings: SerialSettings) -> Iterator[SearchEvent]:
        for reply in self._evidence.take_late():
            yield from self._late(settings, reply)

    def _forget_energy(self) -> None:
        self._evidence.take_late()
        self._evidence.take_strays()
        self._ledger.nothing_is_awaited()

    def _late_energy(self) -> Iterator[SearchEvent]:
        """The last requests may still be answered."""
        settings = self._asker.settings
        self._asker.listen_until(self._asker.clock.now_s() + self._plan.long_wait_s)
        yield from self._credit(settings)
        energy = Energy(self._evidence.heard_at_s, settings, self._evidence.heard)
        if self._evidence.take_strays() and not self._judge(settings).is_restless:
            yield from self._hold_still(energy)
        self._ledger.nothing_is_awaited()

    # The end

    def _never_quiet(self, sentence: str) -> SearchEnded:
        return self._ended(SearchEnd.NEVER_QUIET, sentence)

    def _ended(self, end: SearchEnd, sentence: str) -> SearchEnded:
        seconds = self._asker.clock.now_s() - self._began_s
        asked = self._ledger.passed if self._plan.depth is Depth.THOROUGH else self._ledger.asked
        return SearchEnded(end, len(asked), len(self._ledger.found), seconds, sentence)
