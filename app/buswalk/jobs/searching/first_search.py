"""Drives a search: listens, asks in order of what is gained per second, holds still for energy, confirms hits."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Iterator

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LateReply
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    DamagedEcho,
    EchoOnly,
    ExceptionReply,
    ForeignReply,
    NoReply,
    NormalReply,
    NotSent,
    ShortReply,
    UnexpectedReply,
)
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
from buswalk.domain.search.probe import Probe, ordered_probes
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.listening import verdict_of
from buswalk.jobs.searching.confirming import Confirmation
from buswalk.jobs.searching.evidence import Evidence

LISTENING_SETTINGS = SerialSettings.of(9600, "8N1")
UNLIKELY_ADDRESSES = (173, 211, 94)
"""Asked once after the first hit at a setting: who answers there too, answers everywhere."""
PROGRESS_EVERY = 20
FRUITLESS_HOLDS = 6
"""So many holds in a row without a find: the line chatters, and asking on is guessing."""
LOOK_BACK_S = 1.6


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
        self._everywhere = set(plan.memory.everywhere)
        self._unclear: set[tuple[int, SerialSettings]] = set()
        self._checked_for_everywhere = {one.settings for one in self._found}
        self._recent: deque[tuple[float, Probe]] = deque()
        self._fruitless = 0
        self._planned = 0
        self._quick = AskTiming(plan.wait_s)
        self._long = AskTiming(plan.long_wait_s)
        self._confirmation = Confirmation(asker, self._long)
        self._began_s = asker.clock.now_s()

    @property
    def memory(self) -> SearchMemory:
        """What has been asked and found so far."""
        return SearchMemory(frozenset(self._asked), tuple(self._found), frozenset(self._everywhere))

    def run(self) -> Iterator[SearchEvent]:
        """Do it."""
        if self._plan.listen_s:
            verdict = yield from self._listen()
            if verdict is not Verdict.SILENT and not self._plan.may_probe_living_line:
                yield LivingLine(verdict, _living_sentence(verdict))
                yield self._ended(SearchEnd.LIVING_LINE, "nothing was asked: the line is not quiet")
                return
        settings = dict(self._plan.settings)
        if not self._asker.traits.carries_speed and not self._asker.traits.carries_framing:
            settings = {self._asker.settings: 1.0}
            yield SettingsNotCarried(self._asker.settings)
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

    def _ask_all(self, settings: dict[SerialSettings, float]) -> Iterator[SearchEvent]:
        queue = self._order(settings)
        found_at = self._found_at()
        while queue:
            probe = queue.popleft()
            if probe in self._asked or self._is_settled(probe):
                continue
            exchange = self._ask(probe)
            if isinstance(exchange.outcome, NotSent):
                yield self._ended(SearchEnd.NEVER_QUIET, exchange.outcome.sentence)
                return
            yield from self._weigh(probe, exchange)
            if self._fruitless >= FRUITLESS_HOLDS:
                sentence = "the line chatters without end: bytes keep coming that no request explains"
                yield self._ended(SearchEnd.NEVER_QUIET, sentence)
                return
            if self._found_at() != found_at:
                found_at = self._found_at()
                queue = self._order(settings)
            if len(self._asked) % PROGRESS_EVERY == 0:
                yield SearchProgress(len(self._asked), self._planned, probe.settings)
        yield from self._late_energy()
        yield self._ended(SearchEnd.ALL_ASKED, self._all_asked_sentence())

    def _order(self, settings: dict[SerialSettings, float]) -> deque[Probe]:
        probes = ordered_probes(self._plan.addresses, settings, self._plan.planned, self._found_at(), self._plan.wait_s)
        self._planned = len(probes)
        return deque(probe for probe in probes if probe not in self._asked)

    def _found_at(self) -> frozenset[SerialSettings]:
        return frozenset(one.settings for one in self._found)

    def _is_settled(self, probe: Probe) -> bool:
        """Tell whether nothing new can come of a probe: its device is known, or answers to everything."""
        if probe.settings in self._everywhere or (probe.server_address, probe.settings) in self._unclear:
            return True
        return any(one.server_address == probe.server_address and one.settings == probe.settings for one in self._found)

    def _ask(self, probe: Probe, timing: AskTiming | None = None) -> Exchange:
        self._asker.use_settings(probe.settings)
        exchange = self._asker.ask(probe.server_address, probe.request(), timing or self._quick)
        self._asked.add(probe)
        now_s = self._asker.clock.now_s()
        self._recent.append((now_s, probe))
        while self._recent and self._recent[0][0] < now_s - LOOK_BACK_S:
            self._recent.popleft()
        return exchange

    def _weigh(self, probe: Probe, exchange: Exchange) -> Iterator[SearchEvent]:
        late = self._evidence.take_late()
        energy = self._evidence.take_strays()
        match exchange.outcome:
            case NormalReply() | ExceptionReply():
                yield from self._hit(probe)
                return
            case ForeignReply() if not late:
                yield from self._hit(probe)
                return
            case CorruptReply() | ShortReply() | UnexpectedReply() | DamagedEcho():
                energy = True
            case NoReply() | EchoOnly() | _:
                pass
        for reply in late:
            yield from self._late(probe.settings, reply)
        if energy and not late:
            yield from self._hold_still(probe.settings)

    def _late(self, settings: SerialSettings, reply: LateReply) -> Iterator[SearchEvent]:
        """A late whole frame is credited by its own address."""
        for _, probe in reversed(self._recent):
            if probe.server_address == reply.server_address and probe.settings == settings:
                yield from self._hit(probe)
                return

    def _hit(self, probe: Probe) -> Iterator[SearchEvent]:
        if self._is_settled(probe):
            return
        if probe.settings not in self._checked_for_everywhere:
            self._checked_for_everywhere.add(probe.settings)
            others = tuple(one for one in UNLIKELY_ADDRESSES if one != probe.server_address)
            if all(self._answers(Probe(probe.settings, one, probe.function)) for one in others):
                self._everywhere.add(probe.settings)
                yield AnswersEverywhere(probe.settings, (probe.server_address, *others), len(self._asked))
                return
        result = self._confirmation.look(probe)
        self._evidence.take_late()
        self._evidence.take_strays()
        if isinstance(result, Found):
            self._fruitless = 0
            if not any(
                (one.server_address, one.settings) == (result.server_address, result.settings) for one in self._found
            ):
                self._found.append(result)
                yield result
        elif isinstance(result, Unclear):
            self._unclear.add((result.address, result.settings))
            yield result

    def _answers(self, probe: Probe) -> bool:
        outcome = self._ask(probe, self._long).outcome
        return isinstance(outcome, NormalReply | ExceptionReply)

    def _hold_still(self, settings: SerialSettings) -> Iterator[SearchEvent]:
        """Listen for the longest turnaround, then ask the last requests again, likeliest first, with a long wait."""
        self._fruitless += 1
        suspects = [probe for _, probe in self._recent if not self._is_settled(probe)]
        self._recent.clear()
        self._asker.listen_until(self._asker.clock.now_s() + self._plan.long_wait_s)
        self._evidence.take_late()
        self._evidence.take_strays()
        yield HeldStill(settings, tuple(dict.fromkeys(probe.server_address for probe in suspects)))
        likeliest_first = sorted(
            dict.fromkeys(suspects), key=lambda one: (one.settings not in self._found_at(), suspects.index(one))
        )
        for probe in likeliest_first:
            if self._is_settled(probe):
                continue
            exchange = self._ask(probe, self._long)
            strange = isinstance(exchange.outcome, CorruptReply | ShortReply | UnexpectedReply)
            if isinstance(exchange.outcome, NormalReply | ExceptionReply | ForeignReply) or strange:
                before = len(self._found) + len(self._unclear)
                yield from self._hit(probe)
                if len(self._found) + len(self._unclear) > before:
                    self._fruitless = 0
        self._evidence.take_late()
        self._evidence.take_strays()

    def _late_energy(self) -> Iterator[SearchEvent]:
        """The last requests may still be answered."""
        settings = self._asker.settings
        self._asker.listen_until(self._asker.clock.now_s() + self._plan.long_wait_s)
        for reply in self._evidence.take_late():
            yield from self._late(settings, reply)
        if self._evidence.take_strays():
            yield from self._hold_still(settings)

    def _ended(self, end: SearchEnd, sentence: str) -> SearchEnded:
        seconds = self._asker.clock.now_s() - self._began_s
        return SearchEnded(end, len(self._asked), len(self._found), seconds, sentence)

    def _all_asked_sentence(self) -> str:
        return (
            "all was asked with functions 03 and 04; a device that knows neither, or takes longer than "
            f"{self._plan.wait_s * 1000:.0f} ms and was never heard, would not be found"
        )


def _living_sentence(verdict: Verdict) -> str:
    what = {
        Verdict.TRAFFIC: "another client is alive on this line",
        Verdict.BABBLE: "somebody talks on this line, at another speed or in another protocol",
        Verdict.HELD: "the line is held at space: a pair swapped, or a driver stuck",
        Verdict.SILENT: "the line is silent",
    }[verdict]
    return (
        f"{what}: nothing was sent. Asking now can spoil its exchanges, and devices with a communication-loss timer "
        "may trip; say --live-line to ask all the same"
    )
