"""What a search costs before it begins, and what is left of it: computed from bytes on the wire and waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import Learnt, requests_at
from buswalk.domain.search.events import SearchPlan
from buswalk.domain.search.probe import probe_cost_s


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
        cost = self._of(self.requests())
        return Cost(cost.requests, self.plan.listen_s + cost.seconds)

    def left(self, asked: Mapping[SerialSettings, int]) -> Cost:
        """Return the cost of what has not been asked; `asked` counts distinct requests at each setting."""
        return self._of({one: max(0, count - asked.get(one, 0)) for one, count in self.requests().items()})

    def requests(self) -> Mapping[SerialSettings, int]:
        """Return how many requests are asked at each setting."""
        return _requests(self.plan.addresses, tuple(self.plan.settings.items()), self.plan.planned, self.found_at)

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
