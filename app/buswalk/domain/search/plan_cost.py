"""What a search costs before it begins, and what is left of it: computed from bytes on the wire and waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import SearchPlan
from buswalk.domain.search.probe import ProbeFunction, probe_cost_s


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
    """

    plan: SearchPlan
    rates: CostRates = field(default_factory=CostRates)

    def whole(self) -> Cost:
        """Return the cost of all of it, listening included."""
        each = len(self.plan.addresses) * len(ProbeFunction)
        seconds = self.plan.listen_s + sum(each * self._request_s(one) for one in self.plan.settings)
        return Cost(each * len(self.plan.settings), seconds)

    def left(self, asked: Mapping[SerialSettings, int]) -> Cost:
        """Return the cost of what has not been asked; `asked` counts distinct requests at each setting."""
        each = len(self.plan.addresses) * len(ProbeFunction)
        rest = {one: max(0, each - asked.get(one, 0)) for one in self.plan.settings}
        return Cost(sum(rest.values()), sum(count * self._request_s(one) for one, count in rest.items()))

    def _request_s(self, settings: SerialSettings) -> float:
        return probe_cost_s(settings, self.plan.wait_s) + self.rates.latency_s
