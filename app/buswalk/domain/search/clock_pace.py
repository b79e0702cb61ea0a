"""What is left of a search by the clock: beside another client only its pauses are used, so that it takes longer."""

from __future__ import annotations

from buswalk.domain.listening.client_cycle import CycleHeard
from buswalk.domain.search.events import SearchProgress

LEAST_FREE_SHARE = 0.05
"""With less of its time free no time can be told: one request more or less would change it by minutes."""
ALONE = 1.0
"""Where nobody else asks, a search takes what its requests take."""


def pace_between(cycle: CycleHeard) -> float:
    """Return seconds by the clock for each second of asking between a client's cycles, 20 at most."""
    return 1.0 / max(LEAST_FREE_SHARE, cycle.free_share)


def left_by_the_clock_s(progress: SearchProgress, pace: float, since_s: float) -> float:
    """Return the seconds left, so long after a progress was told: one figure for all who show it."""
    return max(0.0, progress.left_s * pace - since_s)
