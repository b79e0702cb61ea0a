"""What a search costs before it begins, and what is left of it: computed from bytes on the wire and waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from types import MappingProxyType

from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import Learnt, requests_at
from buswalk.domain.search.events import Depth, SearchPlan
from buswalk.domain.search.forecast import Forecast, forecast_before, thorough_forecast
from buswalk.domain.search.order import ProbeCosts
from buswalk.domain.search.probe import probe_cost_s
from buswalk.domain.search.thorough import FUNCTIONS, ThoroughScope


@dataclass(frozen=True, slots=True)
class Cost:
    """What a plan costs where nobody answers; computed, not measured."""

    requests: int
    seconds: float


@dataclass(frozen=True, slots=True)
class CostRates:
    """What one request costs beside the wait: how late this port hands bytes over, how long a change of speed takes."""

    latency_s: float = 0.0
    settings_change_s: float = 0.0

    @classmethod
    def of(cls, traits: LineTraits) -> CostRates:
        """Return what is known of a port."""
        return cls(traits.latency_s, traits.settings_change_s)


@dataclass(frozen=True, slots=True)
class PlanCost:
    """The cost of a plan, and of what is left of it.

    Second questions for what answers come on top, and requests that an answer makes needless come off.

    Attributes:
        found_at: Settings at which something was found: there all is asked with every function.
    """

    plan: SearchPlan
    rates: CostRates = field(default_factory=CostRates)
    found_at: frozenset[SerialSettings] = frozenset()

    def whole(self) -> Cost:
        """Return the cost of all of it, listening included."""
        if self.plan.depth is Depth.THOROUGH:
            turns = thorough_forecast(self._scope())
            return Cost(turns.requests, self.plan.listen_s + turns.forecast.whole_s)
        cost = self._of(self.requests())
        return Cost(cost.requests, self.plan.listen_s + cost.seconds + self._changes_s())

    def before(self) -> Forecast:
        """Return when something is likely to be found, before the search has begun; listening comes on top."""
        if self.plan.depth is Depth.THOROUGH:
            return thorough_forecast(self._scope()).forecast
        settings = tuple(self.plan.settings.items())
        learnt = Learnt(self.plan.planned, mistaken=self.plan.mistaken)
        return forecast_before(self.plan.addresses, settings, learnt, self._costs())

    def left(self, asked: Mapping[SerialSettings, int]) -> Cost:
        """Return the cost of what has not been asked; `asked` counts distinct requests at each setting."""
        requests = self.requests()
        cost = self._of({one: max(0, count - asked.get(one, 0)) for one, count in requests.items()})
        share = cost.requests / max(1, sum(requests.values()))
        return Cost(cost.requests, cost.seconds + share * self._changes_s())

    def requests(self) -> Mapping[SerialSettings, int]:
        """Return how many requests are asked at each setting; those of a thorough search count once for all passes."""
        if self.plan.depth is Depth.THOROUGH:
            return dict.fromkeys(self.plan.settings, len(FUNCTIONS) * len(self.plan.addresses))
        return _requests(self.plan.addresses, tuple(self.plan.settings.items()), self.plan.planned, self.found_at)

    def _changes_s(self) -> float:
        """Return what changes of settings take, in the order of a search that nothing answers."""
        if not self.rates.settings_change_s:
            return 0.0
        steady = replace(self, rates=replace(self.rates, settings_change_s=0.0))
        return self.before().whole_s - steady.before().whole_s

    def _costs(self) -> ProbeCosts:
        return ProbeCosts(self.plan.wait_s + self.rates.latency_s, self.rates.settings_change_s)

    def _scope(self) -> ThoroughScope:
        settings = tuple(self.plan.settings.items())
        return ThoroughScope(self.plan.addresses, settings, self.plan.planned, self.rates.latency_s, self.plan.mistaken)

    def _of(self, requests: Mapping[SerialSettings, int]) -> Cost:
        seconds = sum(count * self._request_s(one) for one, count in requests.items())
        return Cost(sum(requests.values()), seconds)

    def _request_s(self, settings: SerialSettings) -> float:
        return probe_cost_s(settings, self.plan.wait_s) + self.rates.latency_s


@lru_cache(maxsize=64)
def _requests(
    addresses: tuple[int, ...],
    settings: tuple[tuple[SerialSettings, float], ...],
    planned: frozenset[int],
    found_at: frozenset[SerialSettings],
) -> Mapping[SerialSettings, int]:
    """Screens ask this for every cell ten times a second, and it changes only when something is found."""
    return MappingProxyType(requests_at(addresses, dict(settings), Learnt(planned, found_at)))
