"""What to search after a search that has asked all it had: deeper where something answers. Decides, asks nothing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import Depth, SearchPlan
from buswalk.domain.search.plan_cost import CostRates, PlanCost
from buswalk.domain.search.prior import settings_at


@dataclass(frozen=True, slots=True)
class NextSearch:
    """A search that would tell more, and what it takes where nobody answers.

    Attributes:
        speeds: Which speeds it asks at, upwards.
    """

    plan: SearchPlan
    speeds: tuple[int, ...]
    seconds: float


def next_search(plan: SearchPlan, found_at: Iterable[SerialSettings], rates: CostRates) -> NextSearch | None:
    """Return what a quick search leaves to try: a thorough one at the speeds in use, or at the likeliest; else None."""
    if plan.depth is Depth.THOROUGH:
        return None
    speeds = {one.baud_rate for one in found_at} or {next(iter(plan.settings)).baud_rate}
    parities = tuple(dict.fromkeys(one.parity for one in plan.settings))
    deeper = replace(plan, settings=settings_at(sorted(speeds), parities), depth=Depth.THOROUGH)
    return NextSearch(deeper, tuple(sorted(speeds)), PlanCost(deeper, rates).whole().seconds)
