"""How long a watch waits for a device: as it was told to, or by what has been seen of the device."""

from __future__ import annotations

from enum import Enum

FIRST_WAIT_S = 0.5
"""For a device of which nothing is known yet (common practice, no source)."""
LONGEST_WAIT_S = 5.0
"""Late replies are credited for so long; Serial Line V1.02, 2.4.1, calls one to several seconds a usual time-out."""
WAIT_FACTOR = 2.0
"""As in the time-out that is proposed from turnarounds: they spread, and the longest is seldom seen soon."""
LATE_FOR_S = 1.0
LATE_FACTOR = 1.5
"""A late reply is waited for so long, or for its server's longest turnaround seen so many times."""
REST_AFTER_ABSENT_S = 0.5
"""Some servers ignore what follows a request to an absent neighbour for up to half a second (judgement, no source)."""
WAIT_RULE = "twice the longest turnaround seen, at least 0.5 s, at most 5 s"


class Waits(Enum):
    """Who says how long a watch waits."""

    AS_TOLD = "as told"
    """Always the same: what comes later is late, as it is for another client that waits so long."""
    BY_TURNAROUND = "by turnaround"
    """By `WAIT_RULE`; it grows as soon as a longer turnaround is seen, a late reply's included."""


def wait_for_s(longest_turnaround_s: float) -> float:
    """Return how long to wait for a device, by the longest turnaround seen of it; 0 where none was."""
    return min(LONGEST_WAIT_S, max(FIRST_WAIT_S, WAIT_FACTOR * longest_turnaround_s))


def late_for_s(longest_turnaround_s: float) -> float:
    """Return how long the line is left alone after a silence: for so long a late reply may still come."""
    return max(LATE_FOR_S, LATE_FACTOR * longest_turnaround_s)
