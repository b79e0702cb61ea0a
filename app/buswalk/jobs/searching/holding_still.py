"""Bytes that no request explains: asks again who may have made them, at once or after silence."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.modbus.outcome import DamagedEcho, NotSent
from buswalk.domain.search.events import Depth, HeldStill, SearchEvent
from buswalk.domain.search.probe import Probe
from buswalk.domain.search.suspicion import Energy, Suspect
from buswalk.jobs.asking.asker import AskTiming
from buswalk.jobs.searching.closer_look import CloserLook
from buswalk.jobs.searching.ledger import KEPT_S
from buswalk.jobs.searching.probe_queue import ProbeQueue
from buswalk.jobs.searching.questions import Questions
from buswalk.jobs.searching.reading_replies import first_heard_s, is_loud

LOOK_BACK_RESTLESS_S = 0.3
MOST_LOUD_SUSPECTED = 4
"""So many more times bytes that are no answer, and the line is first left alone."""

MOST_TIMES_PAST_ECHO = 3

QUIET_S = 2.0
"""A line that chatters is not still for so long; one on which somebody answers all is (judgement)."""


class HoldingStill:
    """What a search does about energy."""

    def __init__(self, questions: Questions, look: CloserLook, queue: ProbeQueue) -> None:
        self._questions = questions
        self._plan = questions.plan
        self._ledger = questions.ledger
        self._patience = questions.patience
        self._look = look
        self._queue = queue

    def hold_still(self, energy: Energy) -> Iterator[SearchEvent]:
        """Ask the last requests again: those at once that may have been answered just then, after silence all."""
        settings = energy.heard_in
        suspects, suspected = self._queue.suspects(KEPT_S), self._queue.suspected(energy)
        yield HeldStill(settings, tuple(dict.fromkeys(probe.server_address for probe in suspects)))
        known = self._ledger.known_count
        yield from self.ask_suspected(suspected)
        self._questions.listen_for(self._plan.long_wait_s)
        yield from self._look.credit(settings)
        is_explained = self._ledger.known_count > known
        comes_again = is_explained and self._plan.depth is Depth.THOROUGH
        if not comes_again and (is_explained or not self._questions.is_loud_by_itself(settings)):
            yield from self._ask_suspects(suspects)
        self._questions.forget_energy()

    def ask_suspected(self, suspected: list[Suspect]) -> Iterator[SearchEvent]:
        """Each with the wait in which it would have made those bytes; only a right answer counts here."""
        known, loud = self._ledger.known_count, 0
        for one in suspected:
            exchange = self._questions.ask(one.probe, AskTiming(min(one.wait_s, self._plan.long_wait_s)))
            yield from self._look.credit(one.probe.settings)
            if (yield from self._look.older(exchange, first_heard_s(exchange))):
                return
            if self._ledger.is_hit(exchange) or (is_loud(exchange) and self._look.is_framed_by(one.probe, exchange)):
                yield from self._look.answered(one.probe, exchange, one.wait_s)
            loud += is_loud(exchange)
            if self._ledger.known_count > known or loud >= MOST_LOUD_SUSPECTED:
                return

    def _ask_suspects(self, suspects: list[Probe]) -> Iterator[SearchEvent]:
        for probe in suspects:
            if self._ledger.is_settled(probe):
                continue
            exchange = self._questions.ask(probe, self._patience.patient(probe.settings))
            yield from self._look.credit(probe.settings)
            if self._ledger.is_hit(exchange):
                yield from self._look.answered(probe, exchange)
            elif is_loud(exchange):
                known = self._ledger.known_count
                yield from self._look.answered(probe, exchange)
                if self._ledger.known_count == known and self._questions.is_loud_by_itself(probe.settings):
                    return

    def is_quiet_unasked(self) -> bool:
        """Tell whether nothing comes while nothing is asked, once the answers to older requests have passed."""
        self._questions.listen_for(self._plan.long_wait_s)
        self._questions.forget_energy()
        self._questions.listen_for(QUIET_S)
        return not self._questions.evidence.take_strays()

    def ask_again(self, probe: Probe) -> Iterator[SearchEvent]:
        """The last few requests once more, after a pause that lets another client finish its round."""
        for suspect in self._queue.suspects(LOOK_BACK_RESTLESS_S):
            if self._ledger.is_settled(suspect):
                continue
            exchange = self._questions.ask(suspect, AskTiming(self._plan.wait_s, minimum_gap_s=self._patience.gap_s))
            yield from self._look.credit(suspect.settings)
            if isinstance(exchange.outcome, NotSent):
                self._patience.gap_s /= 2
                continue
            if not is_loud(exchange):
                self._patience.was_quiet(suspect.settings)
            if self._ledger.is_hit(exchange) or (
                is_loud(exchange) and not self._questions.is_loud_by_itself(probe.settings)
            ):
                yield from self._look.answered(suspect, exchange)
        self._questions.forget_energy()

    def ask_past_echo(self, probe: Probe) -> Iterator[SearchEvent]:
        """Our own request came back changed, and did so before: ask it again until it went out as it should.

        Only this one: on a line whose echo is damaged by itself it tells nothing of those asked before.
        """
        for _ in range(MOST_TIMES_PAST_ECHO):
            exchange = self._questions.ask(probe, AskTiming(self._plan.wait_s))
            yield from self._look.credit(probe.settings)
            if self._ledger.is_hit(exchange):
                yield from self._look.answered(probe, exchange)
            if self._ledger.is_settled(probe) or not isinstance(exchange.outcome, DamagedEcho):
                break
        self._questions.forget_energy()

    def late_energy(self) -> Iterator[SearchEvent]:
        """The last requests may still be answered."""
        settings = self._questions.asker.settings
        self._questions.listen_for(self._plan.long_wait_s)
        yield from self._look.credit(settings)
        energy = Energy(self._questions.evidence.heard_at_s, settings, self._questions.evidence.heard)
        if self._questions.evidence.take_strays() and not self._patience.is_restless_at(settings):
            yield from self.hold_still(energy)
        self._ledger.nothing_is_awaited()
