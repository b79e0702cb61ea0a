"""Whether what is not clean comes in bunches: runs of equal results, and the times between those not clean."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, lgamma, sqrt


@dataclass(frozen=True, slots=True)
class Bunching:
    """What an order of clean and not clean shows.

    Attributes:
        runs: Stretches of equal results, clean and not clean counted together.
        longest_run: Most in a row that were not clean.
        chance: That chance alone makes so few runs or fewer of these counts; small where errors come in bunches.
    """

    clean: int
    not_clean: int
    runs: int
    longest_run: int
    chance: float


class RunCounter:
    """Counts runs in an order of results of any length."""

    def __init__(self) -> None:
        self._clean = self._not_clean = self._runs = self._longest = self._in_a_row = 0
        self._was_clean: bool | None = None

    def take(self, *, is_clean: bool) -> None:
        """Take the next result."""
        if is_clean is not self._was_clean:
            self._runs += 1
            self._was_clean = is_clean
        if is_clean:
            self._clean += 1
            self._in_a_row = 0
        else:
            self._not_clean += 1
            self._in_a_row += 1
            self._longest = max(self._longest, self._in_a_row)

    def bunching(self) -> Bunching:
        """Return what was seen so far."""
        chance = chance_of_so_few_runs(self._clean, self._not_clean, self._runs)
        return Bunching(self._clean, self._not_clean, self._runs, self._longest, chance)


def chance_of_so_few_runs(one_kind: int, other_kind: int, runs: int) -> float:
    """Return the chance of so few runs or fewer if every order of these two counts is equally likely; 1 without both.

    Source: A. Wald, J. Wolfowitz, Ann. Math. Stat. 11 (1940) 147-162: the exact distribution, summed.
    """
    fewer, more = sorted((one_kind, other_kind))
    if fewer == 0 or runs >= 2 * fewer + 1:
        return 1.0
    all_orders = _log_ways(one_kind + other_kind, fewer)
    total = 0.0
    for count in range(2, runs + 1):
        half, is_odd = divmod(count, 2)
        if is_odd:
            total += exp(_log_ways(fewer - 1, half) + _log_ways(more - 1, half - 1) - all_orders)
            total += exp(_log_ways(fewer - 1, half - 1) + _log_ways(more - 1, half) - all_orders)
        else:
            total += 2.0 * exp(_log_ways(fewer - 1, half - 1) + _log_ways(more - 1, half - 1) - all_orders)
    return min(1.0, total)


def _log_ways(of: int, taken: int) -> float:
    """Return the logarithm of the number of ways to take so many; minus infinity where there is none."""
    if not 0 <= taken <= of:
        return -inf
    return lgamma(of + 1) - lgamma(taken + 1) - lgamma(of - taken + 1)


@dataclass(frozen=True, slots=True)
class Between:
    """Times between one that was not clean and the next, in seconds.

    Attributes:
        intervals: So many; without any the times are 0.
        spread: Standard deviation by mean: about 1 where they come at random, well above it where they come in bunches,
            well below it where something is periodic.
    """

    intervals: int
    shortest_s: float
    mean_s: float
    longest_s: float
    spread: float


class IntervalCounter:
    """Takes the times of those not clean, in order, over any number of sessions."""

    def __init__(self) -> None:
        self._last_s: float | None = None
        self._count = 0
        self._shortest_s, self._longest_s = inf, 0.0
        self._mean_s = self._squares = 0.0

    def take(self, at_s: float) -> None:
        """Take the time of the next one."""
        if self._last_s is not None:
            self._add(at_s - self._last_s)
        self._last_s = at_s

    def cut(self) -> None:
        """Say that times begin anew: nothing lies between the last one and the next."""
        self._last_s = None

    def _add(self, interval_s: float) -> None:
        """Welford's way, which keeps its digits over any number."""
        self._count += 1
        self._shortest_s = min(self._shortest_s, interval_s)
        self._longest_s = max(self._longest_s, interval_s)
        off = interval_s - self._mean_s
        self._mean_s += off / self._count
        self._squares += off * (interval_s - self._mean_s)

    def between(self) -> Between:
        """Return what was seen so far."""
        if self._count == 0:
            return Between(0, 0.0, 0.0, 0.0, 0.0)
        deviation_s = sqrt(self._squares / (self._count - 1)) if self._count > 1 else 0.0
        spread = deviation_s / self._mean_s if self._mean_s > 0.0 else 0.0
        return Between(self._count, self._shortest_s, self._mean_s, self._longest_s, spread)
