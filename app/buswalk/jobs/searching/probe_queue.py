"""What a search still has to ask, in order, with what it costs and when something is likely to be found."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import Learnt
from buswalk.domain.search.events import PassBegan, SearchForecast, SearchPlan, SearchProgress
from buswalk.domain.search.forecast import forecast_of
from buswalk.domain.search.order import ProbeCosts, Step, ordered_steps
from buswalk.domain.search.probe import Probe, ProbeFunction, Shape, likeliness, probe_cost_s
from buswalk.domain.search.suspicion import Energy, Suspect, worth_asking
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.ledger import Ledger

PROGRESS_EVERY = 20
FORECAST_EVERY = 200


@dataclass(frozen=True, slots=True)
class Due:
    """What is asked next, and how long it is waited for."""

    probe: Probe
    timing: AskTiming


class Turns(Protocol):
    """What a search asks next, and how far it is."""

    def put_in_order(self, settings: dict[SerialSettings, float]) -> None:
        """Order what is left."""

    def next(self) -> Due | None:
        """Return the next request that can still tell something, or None."""

    def standing(self, settings: SerialSettings) -> Iterator[PassBegan | SearchProgress | SearchForecast]:
        """Yield progress and forecast every so many requests, and which pass has begun."""

    def forecast(self) -> SearchForecast:
        """Return when something is likely to be found."""


class ProbeQueue:
    """The requests of one search; put in order again when something is learnt."""

    def __init__(self, asker: Asker, plan: SearchPlan, ledger: Ledger) -> None:
        self._asker = asker
        self._plan = plan
        self._ledger = ledger
        self._timing = AskTiming(plan.wait_s)
        self._steps: deque[Step] = deque()
        self._left_s = 0.0
        self._planned = 0

    def put_in_order(self, settings: dict[SerialSettings, float]) -> None:
        """Order what is left, with all that is known now."""
        plan, ledger = self._plan, self._ledger
        learnt = Learnt(plan.planned, ledger.found_at, ledger.two_stop_bits, frozenset(ledger.asked), plan.mistaken)
        traits = self._asker.traits
        costs = ProbeCosts(plan.wait_s + traits.latency_s, traits.settings_change_s)
        self._steps = deque(ordered_steps(plan.addresses, settings, learnt, costs))
        self._left_s = sum(one.cost_s for one in self._steps)
        self._planned = len(self._steps) + sum(_is_of_the_order(one) for one in ledger.asked)

    def next(self) -> Due | None:
        """Return the next request that can still tell something, or None."""
        while self._steps:
            step = self._steps.popleft()
            self._left_s -= step.cost_s
            if step.probe not in self._ledger.asked and not self._ledger.is_settled(step.probe):
                return Due(step.probe, self._timing)
        return None

    def progress(self, settings: SerialSettings) -> SearchProgress:
        """Return how far the search is."""
        return SearchProgress(self._planned - len(self._steps), self._planned, settings, self._left_s)

    def standing(self, settings: SerialSettings) -> Iterator[SearchProgress | SearchForecast]:
        """Yield progress and forecast every so many requests."""
        if len(self._ledger.asked) % PROGRESS_EVERY == 0:
            yield self.progress(settings)
        if len(self._ledger.asked) % FORECAST_EVERY == 0:
            yield self.forecast()

    def forecast(self) -> SearchForecast:
        """Return when something is likely to be found, if nothing answers before."""
        forecast = forecast_of(self._steps)
        asked = self._planned - len(self._steps)
        return SearchForecast(asked, forecast.half_s, forecast.most_s, forecast.nearly_all_s, forecast.whole_s)

    def suspects(self, within_s: float) -> list[Probe]:
        """Return what was asked within the last seconds and may still be answered, likeliest first."""
        probes = self._ledger.asked_since(self._asker.clock.now_s() - within_s)
        unsettled = [probe for probe in probes if not self._ledger.is_settled(probe)]
        return sorted(unsettled, key=lambda one: -self._likeliness(one))

    def _likeliness(self, probe: Probe) -> float:
        plan = self._plan
        return likeliness(probe, plan.settings, plan.planned, self._ledger.found_at, plan.mistaken)

    def suspected(self, energy: Energy) -> list[Suspect]:
        """Return who may have made those bytes, the best gain a second of asking first."""
        suspects = [
            Suspect(one, self._likeliness(one), self._ledger.ended_s(one), energy)
            for one in self.suspects(self._plan.long_wait_s)
        ]
        return worth_asking(suspects)

    def rested(self, settings: SerialSettings) -> list[Probe]:
        """Return one ordinary request to each address at one setting, likeliest first."""
        learnt = Learnt(self._plan.planned, mistaken=self._plan.mistaken)
        steps = ordered_steps(self._plan.addresses, {settings: 1.0}, learnt, ProbeCosts(self._plan.wait_s))
        return [one.probe for one in steps if one.probe.function is ProbeFunction.HOLDING_REGISTERS]

    def rested_s(self, settings: SerialSettings, rest_s: float) -> float:
        """Return what that takes if each is asked after a rest."""
        return len(self._plan.addresses) * probe_cost_s(settings, max(self._plan.wait_s, rest_s))


def _is_of_the_order(probe: Probe) -> bool:
    """Ordinary reads of coils are asked only to look closer."""
    return probe.function is not ProbeFunction.COILS or probe.shape is Shape.ONE_PARITY
