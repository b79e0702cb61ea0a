"""Drives a search: listens, asks in order of what is gained per second, holds still for energy, confirms hits."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Iterator

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LateReply
from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply, ForeignReply, NormalReply, NotSent
from buswalk.domain.search.energy import EnergyJudge, Reaction
from buswalk.domain.search.events import (
    AnswersEverywhere,
    Found,
    HeldStill,
    ListenedFirst,
    LivingLine,
    SearchEnd,
    SearchEnded,
    SearchEvent,
    SearchMemory,
    SearchPlan,
    SearchProgress,
    SettingsNotCarried,
    Unclear,
    Verdict,
)
from buswalk.domain.search.probe import Probe, ProbeFunction, likeliness, ordered_probes
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.listening import verdict_of
from buswalk.jobs.searching.confirming import LONG_PAUSE_S, Confirmation
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.reading_replies import answers_as_another, is_loud
from buswalk.jobs.searching.search_words import all_asked_words, living_words, never_quiet_words

LISTENING_SETTINGS = SerialSettings.of(9600, "8N1")
UNLIKELY_ADDRESSES = (173, 211, 94, 158, 226, 137, 201, 118)
CONTROLS = 3
"""So many unlikely addresses are asked after the first hit at a setting: who answers there too, answers everywhere."""
PROGRESS_EVERY = 20
LOOK_BACK_S = 1.6
LOOK_BACK_RESTLESS_S = 0.3
RESTLESS_GAP_S = 0.25
"""Longer than other clients usually pause between the requests of one round (judgement, no source).

Halved each time the line does not grant it.
"""
RESTLESS_WAIT_S = 0.5
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
        self._asked = set(plan.memory.asked)
        self._found = list(plan.memory.found)
        self._everywhere = dict(plan.memory.everywhere)
        self._unclear = set(plan.memory.unclear)
        self._checked_for_everywhere = {one.settings for one in self._found} | self._everywhere.keys()
        self._recent: deque[tuple[float, Probe]] = deque()
        self._unsettled: set[Probe] = set()
        self._heard: deque[Arrival] = deque(maxlen=HEARD_KEPT)
        self._is_living = False
        self._judges: dict[SerialSettings, EnergyJudge] = {}
        self._given_up: set[SerialSettings] = set()
        self._gap_s = RESTLESS_GAP_S
        self._planned = 0
        self._quick = AskTiming(plan.wait_s)
        self._began_s = asker.clock.now_s()

    @property
    def memory(self) -> SearchMemory:
        """What has been asked and found so far; requests whose answer was still awaited count as not asked."""
        waiting = self._unsettled | {probe for _, probe in self._recent}
        return SearchMemory(
            frozenset(self._asked - waiting),
            tuple(self._found),
            frozenset(self._everywhere.items()),
            frozenset(self._unclear),
        )

    def run(self) -> Iterator[SearchEvent]:
        """Do it."""
        if self._plan.listen_s:
            verdict = yield from self._listen()
            if verdict is not Verdict.SILENT and not self._plan.may_probe_living_line:
                yield LivingLine(verdict, living_words(verdict))
                yield self._ended(SearchEnd.LIVING_LINE, "nothing was asked: the line is not quiet")
                return
            self._is_living = verdict is not Verdict.SILENT
        settings = dict(self._plan.settings)
        if not self._asker.traits.carries_speed or not self._asker.traits.carries_framing:
            first = next(iter(settings))
            settings = {first: 1.0}
            yield SettingsNotCarried(first)
        yield from self._ask_all(settings)

    def _listen(self) -> Generator[SearchEvent, None, Verdict]:
        self._asker.use_settings(LISTENING_SETTINGS)
        began_s = self._asker.clock.now_s()
        arrivals = self._asker.listen_until(began_s + self._plan.listen_s)
        self._evidence.take_strays()
        verdict = verdict_of(arrivals)
        seconds = self._asker.clock.now_s() - began_s
        yield ListenedFirst(self._asker.settings, seconds, verdict, sum(len(one.data) for one in arrivals))
        return verdict

    # Asking in order

    def _ask_all(self, settings: dict[SerialSettings, float]) -> Iterator[SearchEvent]:
        queue = self._order(settings)
        found_at = self._found_at()
        while queue:
            probe = queue.popleft()
            if probe in self._asked or self._is_settled(probe):
                continue
            exchange = self._ask(probe, self._quick)
            if isinstance(exchange.outcome, NotSent):
                yield self._never_quiet(exchange.outcome.sentence)
                return
            reaction = yield from self._weigh(probe, exchange)
            if reaction is Reaction.GIVE_UP:
                self._given_up.add(probe.settings)
                verdict = verdict_of(self._heard)
                if not self._found and (verdict is Verdict.HELD or len(self._given_up) >= GIVEN_UP_BEFORE_END):
                    yield self._never_quiet(never_quiet_words(verdict))
                    return
            if self._found_at() != found_at:
                found_at = self._found_at()
                queue = self._order(settings)
            if len(self._asked) % PROGRESS_EVERY == 0:
                yield SearchProgress(len(self._asked), self._planned, probe.settings)
        yield from self._late_energy()
        yield from self._ask_planned_patiently(settings)
        sentence = all_asked_words(self._plan.wait_s, is_restless=self._is_restless(), given_up=len(self._given_up))
        yield self._ended(SearchEnd.ALL_ASKED, sentence)

    def _ask_planned_patiently(self, settings: dict[SerialSettings, float]) -> Iterator[SearchEvent]:
        """Before a planned address is called silent: once more after a long pause, with a long wait.

        Some devices keep silent unless the line has rested, or for a while after a request to an absent neighbour.
        """
        found = {one.server_address for one in self._found}
        silent = [one for one in self._plan.addresses if one in self._plan.planned and one not in found]
        patient = AskTiming(self._plan.long_wait_s, minimum_gap_s=LONG_PAUSE_S)
        for one in [one for one in settings if one in self._found_at()] or list(settings)[:1]:
            for address in silent:
                probe = Probe(one, address, ProbeFunction.HOLDING_REGISTERS)
                if self._is_settled(probe):
                    continue
                exchange = self._ask(probe, patient)
                if self._is_hit(exchange) and not self._is_like_everywhere(exchange):
                    yield from self._hit(probe, exchange)
        self._forget_energy()

    def _order(self, settings: dict[SerialSettings, float]) -> deque[Probe]:
        probes = ordered_probes(self._plan.addresses, settings, self._plan.planned, self._found_at(), self._plan.wait_s)
        self._planned = len(probes)
        return deque(probe for probe in probes if probe not in self._asked)

    def _found_at(self) -> frozenset[SerialSettings]:
        return frozenset(one.settings for one in self._found)

    def _is_found(self, server_address: int, settings: SerialSettings) -> bool:
        return any((one.server_address, one.settings) == (server_address, settings) for one in self._found)

    def _is_settled(self, probe: Probe) -> bool:
        """Tell whether nothing new can come of a probe: its device is known, or all answer alike with data."""
        if self._everywhere.get(probe.settings) == 0 or probe.settings in self._given_up:
            return True
        if (probe.server_address, probe.settings) in self._unclear:
            return True
        return self._is_found(probe.server_address, probe.settings)

    def _ask(self, probe: Probe, timing: AskTiming) -> Exchange:
        self._asker.use_settings(probe.settings)
        self._asked.add(probe)
        self._unsettled.add(probe)
        exchange = self._asker.ask(probe.server_address, probe.request(), timing)
        self._unsettled.discard(probe)
        self._heard.extend(exchange.arrivals)
        now_s = self._asker.clock.now_s()
        self._recent.append((now_s, probe))
        while self._recent and self._recent[0][0] < now_s - LOOK_BACK_S:
            self._recent.popleft()
        return exchange

    # What came

    def _weigh(self, probe: Probe, exchange: Exchange) -> Generator[SearchEvent, None, Reaction | None]:
        """Look at what came of a probe; return what was decided about energy, if there was any."""
        late = self._evidence.take_late()
        strays = self._evidence.take_strays()
        if self._is_like_everywhere(exchange):
            return None
        if self._is_hit(exchange) and not (late and isinstance(exchange.outcome, ForeignReply)):
            yield from self._hit(probe, exchange)
            return None
        for reply in late:
            yield from self._late(probe.settings, reply)
        if late or not (strays or is_loud(exchange)) or self._is_of_known_device(exchange):
            self._judge(probe.settings).was_quiet()
            return None
        reaction = self._judge(probe.settings).was_loud()
        if reaction is Reaction.HOLD_STILL:
            yield from self._hold_still(probe.settings)
        elif reaction is Reaction.ASK_AGAIN:
            yield from self._ask_again(probe)
        return reaction

    def _is_hit(self, exchange: Exchange) -> bool:
        if isinstance(exchange.outcome, NormalReply | ExceptionReply):
            return True
        return answers_as_another(exchange) and not self._is_of_known_device(exchange)

    def _is_of_known_device(self, exchange: Exchange) -> bool:
        """A device that answers for others is one finding."""
        outcome = exchange.outcome
        return isinstance(outcome, ForeignReply) and self._is_found(outcome.server_address, exchange.settings)

    def _is_like_everywhere(self, exchange: Exchange) -> bool:
        """Where everything answers with the same refusal, only another answer tells of a device."""
        common = self._everywhere.get(exchange.settings)
        return isinstance(exchange.outcome, ExceptionReply) and exchange.outcome.exception_code == common

    def _late(self, settings: SerialSettings, reply: LateReply) -> Iterator[SearchEvent]:
        """A late whole frame is credited by its own address and function."""
        function = reply.adu[1] & ~EXCEPTION_BIT
        asked = [one for _, one in self._recent if (one.server_address, one.function) == (reply.adu[0], function)]
        if asked:
            yield from self._hit(Probe(settings, reply.adu[0], asked[-1].function))

    def _hit(self, probe: Probe, *before: Exchange) -> Iterator[SearchEvent]:
        """Look closer where something answered; `memory` forgets the probe until that is done."""
        self._judge(probe.settings).was_quiet()
        if self._is_settled(probe):
            return
        self._unsettled.add(probe)
        if probe.settings not in self._checked_for_everywhere:
            event = self._everywhere_from(probe)
            self._checked_for_everywhere.add(probe.settings)
            if event is not None:
                yield event
                if event.exception_code == 0 or not before or self._is_like_everywhere(before[-1]):
                    self._unsettled.discard(probe)
                    return
        result = Confirmation(self._asker, self._patient(probe.settings)).look(probe, before)
        self._unsettled.discard(probe)
        late = [one for one in self._evidence.take_late() if one.server_address != probe.server_address]
        self._evidence.take_strays()
        if isinstance(result, Found) and not self._is_found(result.server_address, result.settings):
            self._judge(probe.settings).found_something()
            self._found.append(result)
            yield result
        elif isinstance(result, Unclear):
            self._judge(probe.settings).found_something()
            self._unclear.add((result.address, result.settings))
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
        self._everywhere[probe.settings] = common
        return AnswersEverywhere(probe.settings, (probe.server_address, *controls), len(self._asked), common)

    def _controls(self, probe: Probe) -> tuple[int, ...]:
        known = self._plan.planned | {one.server_address for one in self._found} | {probe.server_address}
        return tuple(one for one in UNLIKELY_ADDRESSES if one not in known)[:CONTROLS]

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

    def _hold_still(self, settings: SerialSettings) -> Iterator[SearchEvent]:
        """Listen for the longest turnaround, then ask the last requests again, likeliest first, with a long wait."""
        suspects = self._suspects(LOOK_BACK_S)
        self._heard.extend(self._asker.listen_until(self._asker.clock.now_s() + self._plan.long_wait_s))
        yield from self._credit(settings)
        yield HeldStill(settings, tuple(dict.fromkeys(probe.server_address for probe in suspects)))
        if not self._is_loud_by_itself(settings):
            yield from self._ask_suspects(suspects)
        self._forget_energy()

    def _ask_suspects(self, suspects: list[Probe]) -> Iterator[SearchEvent]:
        for probe in suspects:
            if self._is_settled(probe):
                continue
            exchange = self._ask(probe, self._patient(probe.settings))
            yield from self._credit(probe.settings)
            if self._is_hit(exchange):
                yield from self._hit(probe, exchange)
            elif is_loud(exchange):
                known = len(self._found) + len(self._unclear)
                yield from self._hit(probe, exchange)
                if len(self._found) + len(self._unclear) == known and self._is_loud_by_itself(probe.settings):
                    return

    def _ask_again(self, probe: Probe) -> Iterator[SearchEvent]:
        """The last few requests once more, after a pause that lets another client finish its round."""
        for suspect in self._suspects(LOOK_BACK_RESTLESS_S):
            if self._is_settled(suspect):
                continue
            exchange = self._ask(suspect, AskTiming(self._plan.wait_s, minimum_gap_s=self._gap_s))
            yield from self._credit(suspect.settings)
            if isinstance(exchange.outcome, NotSent):
                self._gap_s /= 2
                continue
            if not is_loud(exchange):
                self._judge(suspect.settings).was_quiet()
            if self._is_hit(exchange) or (is_loud(exchange) and not self._is_loud_by_itself(probe.settings)):
                yield from self._hit(suspect, exchange)
        self._forget_energy()

    def _suspects(self, within_s: float) -> list[Probe]:
        since_s = self._asker.clock.now_s() - within_s
        probes = dict.fromkeys(probe for asked_s, probe in reversed(self._recent) if asked_s >= since_s)
        unsettled = [probe for probe in probes if not self._is_settled(probe)]
        weights, found_at = self._plan.settings, self._found_at()
        return sorted(unsettled, key=lambda one: -likeliness(one, weights, self._plan.planned, found_at))

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
        self._recent.clear()

    def _late_energy(self) -> Iterator[SearchEvent]:
        """The last requests may still be answered."""
        settings = self._asker.settings
        self._asker.listen_until(self._asker.clock.now_s() + self._plan.long_wait_s)
        yield from self._credit(settings)
        if self._evidence.take_strays() and not self._judge(settings).is_restless:
            yield from self._hold_still(settings)
        self._recent.clear()

    # The end

    def _never_quiet(self, sentence: str) -> SearchEnded:
        return self._ended(SearchEnd.NEVER_QUIET, sentence)

    def _ended(self, end: SearchEnd, sentence: str) -> SearchEnded:
        seconds = self._asker.clock.now_s() - self._began_s
        return SearchEnded(end, len(self._asked), len(self._found), seconds, sentence)
