"""Drives a search: listens, asks in order of what is gained per second, holds still for energy, confirms hits."""

from __future__ import annotations

from collections.abc import Generator, Iterator

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.verdict import verdict_of
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import DamagedEcho, ForeignReply, NotSent
from buswalk.domain.search.energy import Reaction
from buswalk.domain.search.events import (
    AskedRested,
    Depth,
    EverythingIsAnswered,
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
from buswalk.domain.search.probe import Probe, ProbeFunction
from buswalk.domain.search.suspicion import Energy
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.among_others import SharedLine
from buswalk.jobs.searching.carried_settings import answers_at_another_speed, askable_settings
from buswalk.jobs.searching.closer_look import CloserLook
from buswalk.jobs.searching.confirming import LONG_PAUSE_S
from buswalk.jobs.searching.controls import UNLIKELY_ADDRESSES
from buswalk.jobs.searching.evidence import Evidence, energy_of
from buswalk.jobs.searching.framing_look import FramingLook
from buswalk.jobs.searching.holding_still import HoldingStill
from buswalk.jobs.searching.listening_first import listen_first
from buswalk.jobs.searching.probe_queue import PROGRESS_EVERY, ProbeQueue, Turns
from buswalk.jobs.searching.questions import Questions
from buswalk.jobs.searching.reading_replies import first_heard_s, is_loud
from buswalk.jobs.searching.said_once import SaidOnce
from buswalk.jobs.searching.search_words import all_asked_words, all_passed_words, living_words, never_quiet_words
from buswalk.jobs.searching.silent_addresses import silent_asked_with
from buswalk.jobs.searching.thorough_queue import ThoroughQueue

SECOND_ANSWER_S = 0.3
"""So long a quick search listens for the answer of a second device at one address."""
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


class Search:
    """One search. `memory` is what a later one needs to ask nothing twice, at any moment.

    `evidence` must be among the sinks of the asker: it is where late replies and stray bytes come in.
    """

    def __init__(self, asker: Asker, evidence: Evidence, plan: SearchPlan) -> None:
        self._questions = questions = Questions(asker, evidence, plan)
        self._plan = questions.plan
        self._ledger = questions.ledger
        self._patience = questions.patience
        self._queue = ProbeQueue(asker, plan, self._ledger)
        self._framing = FramingLook(asker, self._ledger)
        self._look = CloserLook(self._questions, self._framing)
        self._energy = HoldingStill(self._questions, self._look, self._queue)
        is_quick = plan.depth is Depth.QUICK
        self._turns: Turns = self._queue if is_quick else ThoroughQueue(asker, plan, self._ledger)
        self._said = SaidOnce()
        self._began_s = asker.clock.now_s()

    @property
    def memory(self) -> SearchMemory:
        """What has been asked and found so far; requests whose answer was still awaited count as not asked."""
        return self._ledger.memory

    def run(self) -> Iterator[SearchEvent]:
        """Yield what is found, as it is found.

        Raises:
            PortError: The port was lost; `memory` still knows what was asked.
        """
        if self._plan.listen_s:
            verdict = yield from listen_first(self._questions.asker, self._plan.listen_s)
            self._questions.evidence.take_strays()
            if verdict is not Verdict.SILENT and not self._plan.may_probe_living_line:
                yield LivingLine(verdict, living_words(verdict))
                yield self._ended(SearchEnd.LIVING_LINE, "nothing was asked: the line is not quiet")
                return
            self._patience.is_living = verdict is not Verdict.SILENT
        settings, remarks = askable_settings(self._plan.settings, self._questions.asker.traits)
        yield from remarks
        shared = SharedLine(self._questions.asker, self._questions.evidence, self._plan)
        ask = shared.ask_among_others if self._patience.is_living else shared.ask_alone
        yield from ask(settings, self._ask_all, self._ended)

    # Asking in order

    def _ask_all(self, settings: dict[SerialSettings, float]) -> Iterator[SearchEvent]:
        self._turns.put_in_order(settings)
        yield self._turns.forecast()
        known = self._ledger.lessons
        while (due := self._turns.next()) is not None:
            probe, exchange = due.probe, self._questions.ask(due.probe, due.timing)
            if isinstance(exchange.outcome, NotSent):
                yield self._never_quiet(exchange.outcome.sentence)
                return
            yield from self._said.of_echo(exchange)
            reaction = yield from self._weigh(probe, exchange)
            yield from self._said.of_chatter(self._patience.chatter, probe.settings)
            if (sentence := (yield from self._why_given_up(probe.settings, reaction))) is not None:
                yield self._never_quiet(sentence)
                return
            if self._ledger.found:
                yield from self._framing.learn_two_stop_bits(settings, self._patience.soon(probe.settings))
            if self._ledger.lessons != known:
                settings = yield from self._carried(settings)
                known = self._ledger.lessons
                self._turns.put_in_order(settings)
            yield from self._turns.standing(probe.settings)
        yield from self._energy.late_energy()
        if self._plan.depth is Depth.QUICK:
            yield from self._ask_planned_patiently(settings)
            yield from self._ask_rested(settings)
        yield from silent_asked_with(self._plan.addresses, settings, self._ledger)
        yield self._ended(SearchEnd.ALL_ASKED, self._all_asked_words())

    def _all_asked_words(self) -> str:
        is_restless, given_up = self._patience.is_restless(), len(self._ledger.given_up)
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
                exchange = self._questions.ask(probe, patient)
                if self._ledger.is_hit(exchange) and not self._ledger.is_like_everywhere(exchange):
                    yield from self._look.hit(probe, exchange)
        self._questions.forget_energy()

    def _ask_rested(self, settings: dict[SerialSettings, float]) -> Iterator[SearchEvent]:
        """Where nothing at all was heard, a server may have been kept from answering by our haste."""
        if (
            self._ledger.known_count
            or self._ledger.answered_at
            or self._ledger.given_up
            or self._patience.is_restless()
        ):
            return
        first = next(iter(settings))
        probes = self._queue.rested(first)
        rested = AskTiming(self._plan.wait_s, minimum_gap_s=LONG_PAUSE_S)
        needed_s = self._queue.rested_s(first, LONG_PAUSE_S)
        yield AskedRested(first, len(probes), LONG_PAUSE_S, needed_s)
        for count, probe in enumerate(probes):
            if not self._ledger.is_settled(probe):
                yield from self._weigh(probe, self._questions.ask(probe, rested))
            if count % PROGRESS_EVERY == 0:
                yield SearchProgress(count, len(probes), first, needed_s * (1.0 - count / len(probes)))

    def _carried(
        self, settings: dict[SerialSettings, float]
    ) -> Generator[SearchEvent, None, dict[SerialSettings, float]]:
        """Return the settings still worth asking in, now that something answers."""
        if self._questions.asker.traits.carries_framing or len(settings) == 1:
            return settings
        known = self._ledger.known_question() or Probe(
            next(iter(self._ledger.everywhere)), UNLIKELY_ADDRESSES[0], ProbeFunction.HOLDING_REGISTERS
        )
        if not answers_at_another_speed(self._questions.asker, known, settings, self._patience.patient(known.settings)):
            return settings
        yield SettingsNotCarried(known.settings)
        return {known.settings: 1.0}

    # What came

    def _weigh(self, probe: Probe, exchange: Exchange) -> Generator[SearchEvent, None, Reaction | None]:
        """Look at what came of a probe; return what was decided about energy, if there was any."""
        late = self._questions.evidence.take_late()
        heard_s = min(self._questions.evidence.heard_at_s, first_heard_s(exchange))
        energy = energy_of(exchange, self._questions.evidence)
        strays = self._questions.evidence.take_strays()
        if self._ledger.is_like_everywhere(exchange):
            return None
        if not late and (yield from self._look.older(exchange, heard_s)):
            return None
        if self._ledger.is_hit(exchange) and not (late and isinstance(exchange.outcome, ForeignReply)):
            yield from self._answered(probe, exchange, energy)
            return None
        for reply in late:
            yield from self._look.late(probe.settings, reply)
        if not late and is_loud(exchange) and (framed := self._look.framed(probe, exchange)) is not None:
            yield from self._look.hit(framed.probe, framed.exchange)
            return None
        if late or not (strays or is_loud(exchange)) or self._ledger.is_of_known_device(exchange):
            self._patience.was_quiet(probe.settings)
            return None
        reaction = self._patience.was_loud(probe.settings, self._questions.asker.clock.now_s())
        if isinstance(exchange.outcome, DamagedEcho) and not self._patience.is_echo_worth_a_hold():
            yield from self._energy.ask_past_echo(probe)
        elif reaction is Reaction.HOLD_STILL:
            yield from self._energy.hold_still(energy)
        elif reaction is Reaction.ASK_AGAIN:
            yield from self._energy.ask_again(probe)
        return reaction

    def _answered(self, probe: Probe, exchange: Exchange, energy: Energy) -> Iterator[SearchEvent]:
        """Look closer; what came in the name of another may be a slow one's answer to an older request."""
        suspected = self._queue.suspected(energy) if isinstance(exchange.outcome, ForeignReply) else []
        known = self._ledger.known_count
        yield from self._look.answered(probe, exchange)
        others = [one for one in suspected if one.probe != probe]
        if not others or self._ledger.known_count > known:
            return
        if self._patience.was_loud(probe.settings, self._questions.asker.clock.now_s()) is Reaction.HOLD_STILL:
            yield from self._energy.ask_suspected(others)

    # The end

    def _why_given_up(
        self, settings: SerialSettings, reaction: Reaction | None
    ) -> Generator[SearchEvent, None, str | None]:
        """Return why asking on tells nothing, or None: bytes follow whatever is asked, and nothing was found."""
        is_endless = self._patience.chatter.is_without_end
        if not (reaction is Reaction.GIVE_UP or is_endless):
            return None
        verdict = verdict_of(self._questions.heard, decode(self._questions.heard, settings))
        if verdict is not Verdict.HELD and self._energy.is_quiet_unasked():
            self._patience.somebody_answers_whatever_is_sent(settings)
            yield EverythingIsAnswered(settings)
            return None
        if reaction is Reaction.GIVE_UP:
            self._ledger.given_up.add(settings)
        if self._ledger.found:
            return None
        is_everywhere = is_endless or len(self._ledger.given_up) >= GIVEN_UP_BEFORE_END
        return never_quiet_words(verdict) if verdict is Verdict.HELD or is_everywhere else None

    def _never_quiet(self, sentence: str) -> SearchEnded:
        return self._ended(SearchEnd.NEVER_QUIET, sentence)

    def _ended(self, end: SearchEnd, sentence: str) -> SearchEnded:
        seconds = self._questions.asker.clock.now_s() - self._began_s
        asked = self._ledger.passed if self._plan.depth is Depth.THOROUGH else self._ledger.asked
        return SearchEnded(end, len(asked), len(self._ledger.found), seconds, sentence)
