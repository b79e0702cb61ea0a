"""How long a search takes until a device has probably been found: before it begins, and while nothing answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import Learnt
from buswalk.domain.search.order import ProbeCosts, Step, ordered_steps
from buswalk.domain.search.thorough import ThoroughScope

KEPT = 32
"""Forecasts kept: a screen asks for the same one again with every redraw."""
SHARES = (0.5, 0.8, 0.9)


@dataclass(frozen=True, slots=True)
class Forecast:
    """Seconds of line time from now, if nothing answers before.

    Attributes:
        half_s, most_s, nearly_all_s: When 50, 80 and 90 of 100 devices that are found at all would have been found.
        whole_s: When all is asked.
    """

    half_s: float
    most_s: float
    nearly_all_s: float
    whole_s: float


def forecast_of(steps: Sequence[Step]) -> Forecast:
    """Return when what is still hoped for is likely to be found; computed from costs and the prior, not measured.

    A device counts as found at the end of the request that it answers first; one that takes longer than the wait is
    found by its late reply, mostly a few seconds after.
    """
    hope = sum(step.gain for step in steps)
    marks = [share * hope for share in SHARES]
    due_s: list[float] = []
    gained = elapsed_s = 0.0
    for step in steps:
        gained += step.gain
        elapsed_s += step.cost_s
        while len(due_s) < len(marks) and gained >= marks[len(due_s)]:
            due_s.append(elapsed_s)
    due_s += [elapsed_s] * (len(marks) - len(due_s))
    half_s, most_s, nearly_all_s = due_s
    return Forecast(half_s, most_s, nearly_all_s, elapsed_s)


@lru_cache(maxsize=KEPT)
def forecast_before(
    addresses: tuple[int, ...],
    settings: tuple[tuple[SerialSettings, float], ...],
    learnt: Learnt,
    costs: ProbeCosts,
) -> Forecast:
    """Return the forecast of a search that has not begun; `settings` carries weights."""
    return forecast_of(ordered_steps(addresses, dict(settings), learnt, costs))


@dataclass(frozen=True, slots=True)
class ThoroughForecast:
    """The forecast of a thorough search, and how many requests it sends."""

    forecast: Forecast
    requests: int


@lru_cache(maxsize=KEPT)
def thorough_forecast(scope: ThoroughScope) -> ThoroughForecast:
    """Return the forecast of a thorough search that has not begun."""
    steps = scope.steps(scope.turns())
    return ThoroughForecast(forecast_of(steps), len(steps))
