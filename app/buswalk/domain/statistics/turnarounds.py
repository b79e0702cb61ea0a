"""How long a server takes to answer: distribution, tail, and the time-out that follows by a stated rule.

Each turnaround is a range; the later end is taken, so that what is said errs to the careful side. Memory does not grow:
times are counted in steps of about 2 %, and quantiles are the upper edge of their step.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf, log

from buswalk.domain.statistics.limits import upper_limit

SHORTEST_S = 1e-4
STEP = 1.02
TIME_OUT_FACTOR = 2.0
ROUNDED_TO_S = 0.01
TIME_OUT_RULE = "twice the longest turnaround seen, late replies included, and the time of the longest reply's frame"
_LOG_STEP = log(STEP)


@dataclass(frozen=True, slots=True)
class Turnarounds:
    """What was seen of one server, in seconds; all 0 where nothing was.

    Attributes:
        seen: So many answers whose time is known, late ones included.
        late: So many of them came after the wait had ended.
        unseen: So many requests got no answer at all: their turnaround, if there was one, lies beyond the wait.
        time_out_s: Proposed response time-out, from the end of a request to the end of its reply (`TIME_OUT_RULE`).
    """

    seen: int
    late: int
    unseen: int
    least_s: float
    median_s: float
    most_of_20_s: float
    most_of_100_s: float
    longest_s: float
    time_out_s: float


@dataclass(frozen=True, slots=True)
class Tail:
    """What a client with this time-out would miss.

    Attributes:
        share: Of all answers seen; `at_most` is its upper limit.
    """

    time_out_s: float
    missed: int
    answers: int

    @property
    def share(self) -> float:
        """Missed of all answers."""
        return self.missed / self.answers

    @property
    def at_most(self) -> float:
        """Its upper limit."""
        return upper_limit(self.missed, self.answers)


class TurnaroundCounter:
    """Takes turnarounds of one server in any order."""

    def __init__(self) -> None:
        self._steps: dict[int, int] = {}
        self._seen = self._late = self._unseen = 0
        self._least_s, self._longest_s, self._frame_s = inf, 0.0, 0.0

    def answered(self, turnaround_s: float, frame_s: float) -> None:
        """Take an answer: its turnaround at most, and how long its frame took on the line."""
        self._add(turnaround_s)
        self._frame_s = max(self._frame_s, frame_s)

    def answered_late(self, turnaround_s: float) -> None:
        """Take an answer that came after the wait had ended."""
        self._late += 1
        self._add(turnaround_s)

    def unanswered(self) -> None:
        """Take a request that nothing answered."""
        self._unseen += 1

    def _add(self, turnaround_s: float) -> None:
        counted_s = max(turnaround_s, SHORTEST_S)
        step = ceil(log(counted_s / SHORTEST_S) / _LOG_STEP - 1e-9)
        self._steps[step] = self._steps.get(step, 0) + 1
        self._seen += 1
        self._least_s = min(self._least_s, counted_s)
        self._longest_s = max(self._longest_s, counted_s)

    def turnarounds(self) -> Turnarounds:
        """Return what was seen so far."""
        if self._seen == 0:
            return Turnarounds(0, 0, self._unseen, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        proposed_s = TIME_OUT_FACTOR * self._longest_s + self._frame_s
        return Turnarounds(
            self._seen,
            self._late,
            self._unseen,
            self._least_s,
            self._quantile_s(0.5),
            self._quantile_s(0.95),
            self._quantile_s(0.99),
            self._longest_s,
            round(ceil(proposed_s / ROUNDED_TO_S - 1e-9) * ROUNDED_TO_S, 9),
        )

    def tail(self, time_out_s: float) -> Tail:
        """Return how many answers began after `time_out_s`; those within its step count as missed.

        Raises:
            ValueError: No answer was seen.
        """
        if self._seen == 0:
            raise ValueError("without an answer there is no tail")
        missed = sum(count for step, count in self._steps.items() if _upper_edge_s(step) > time_out_s)
        return Tail(time_out_s, missed if time_out_s < self._longest_s else 0, self._seen)

    def _quantile_s(self, share: float) -> float:
        due = share * self._seen
        so_far = 0
        for step in sorted(self._steps):
            so_far += self._steps[step]
            if so_far >= due:
                return min(_upper_edge_s(step), self._longest_s)
        return self._longest_s


def _upper_edge_s(step: int) -> float:
    return float(SHORTEST_S * STEP**step)
