"""Whether two points move together, and which of them first. Gaps are left out, never filled."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.trend.samples import Numbers, Samples
from buswalk.domain.trend.series_statistics import LARGEST_CORRELATION
from buswalk.domain.trend.student import Z

FEWEST_PAIRS = 20
MOST_GRID = 20_000
LEAST_OVERLAP = 0.5
"""Of the longest overlap: a lag that leaves less is not looked at."""


@dataclass(frozen=True, slots=True)
class Correlation:
    """Of two points at the lag where they agree best.

    Attributes:
        lag_s: The second follows the first by so much; negative if it goes ahead. No finer than `grid_s`.
        r: From -1 to 1.
        chance: Below this, 95 % of unrelated points as slow as these would come, over all lags looked at.
    """

    lag_s: float
    grid_s: float
    r: float
    chance: float
    pairs: int

    @property
    def is_beyond_chance(self) -> bool:
        """Whether unrelated points would hardly show it."""
        return abs(self.r) > self.chance


@dataclass(frozen=True, slots=True)
class NoCorrelation:
    """Too few pairs, or one of them never moves."""

    sentence: str


def correlation(first: Samples, second: Samples, longest_lag_s: float) -> Correlation | NoCorrelation:
    """Compare two points over lags up to `longest_lag_s` either way."""
    one, other = first.trusted, second.trusted
    if min(len(one), len(other)) < FEWEST_PAIRS:
        return NoCorrelation(f"fewer than {FEWEST_PAIRS} values of one of them")
    begins_s = max(float(one.times_s[0]), float(other.times_s[0]))
    ends_s = min(float(one.times_s[-1]), float(other.times_s[-1]))
    grid_s = max(_period_s(one), _period_s(other), (ends_s - begins_s) / MOST_GRID)
    if ends_s - begins_s < FEWEST_PAIRS * grid_s:
        return NoCorrelation("they were not watched at the same time for long enough")
    times_s = np.arange(begins_s, ends_s, grid_s)
    a, b = _on_grid(one, times_s, grid_s), _on_grid(other, times_s, grid_s)
    if _is_still(a) or _is_still(b):
        return NoCorrelation("one of them never moves")
    lags = int(min(longest_lag_s / grid_s, len(times_s) * (1 - LEAST_OVERLAP)))
    r, pairs = _by_lag(a, b, lags)
    fewest = max(FEWEST_PAIRS, LEAST_OVERLAP * float(pairs.max()))
    r = np.where(pairs >= fewest, r, 0.0)
    best = int(np.abs(r).argmax())
    independent = _independent(a, b, float(pairs[best]))
    tries = max(1.0, (2 * lags + 1) * independent / float(pairs[best]))
    return Correlation((best - lags) * grid_s, grid_s, float(r[best]), _chance(independent, tries), int(pairs[best]))


def _period_s(samples: Samples) -> float:
    return float(np.median(np.diff(samples.times_s)))


def _on_grid(samples: Samples, times_s: Numbers, grid_s: float) -> Numbers:
    """Return the sample nearest to each time, NaN where there is none within one grid."""
    right = np.clip(np.searchsorted(samples.times_s, times_s), 1, len(samples) - 1)
    is_left = times_s - samples.times_s[right - 1] < samples.times_s[right] - times_s
    at = np.where(is_left, right - 1, right)
    return np.where(np.abs(samples.times_s[at] - times_s) <= grid_s, samples.numbers[at], np.nan)


def _is_still(numbers: Numbers) -> bool:
    return bool(np.nanmax(numbers) == np.nanmin(numbers))


def _by_lag(a: Numbers, b: Numbers, lags: int) -> tuple[Numbers, Numbers]:
    """Return r and the number of pairs for every lag from -lags to lags, all sums by one Fourier transform each."""
    has_a, has_b = (~np.isnan(a)).astype(float), (~np.isnan(b)).astype(float)
    x = np.where(np.isnan(a), 0.0, a - np.nanmean(a))
    y = np.where(np.isnan(b), 0.0, b - np.nanmean(b))
    size = 1 << (2 * len(a)).bit_length()

    def sums(p: Numbers, q: Numbers) -> Numbers:
        whole = np.fft.irfft(np.conj(np.fft.rfft(p, size)) * np.fft.rfft(q, size), size)
        return np.concatenate((whole[size - lags :], whole[: lags + 1])) if lags else whole[:1]

    pairs = np.round(sums(has_a, has_b))
    n = np.maximum(pairs, 1.0)
    sx, sy = sums(x, has_b), sums(has_a, y)
    sxx, syy, sxy = sums(x * x, has_b), sums(has_a, y * y), sums(x, y)
    spread = np.maximum(sxx - sx**2 / n, 0.0) * np.maximum(syy - sy**2 / n, 0.0)
    floor = 1e-18 * float(spread.max(initial=0.0))
    r = np.where(spread > floor, (sxy - sx * sy / n) / np.sqrt(np.maximum(spread, floor + 1e-300)), 0.0)
    return np.clip(r, -1.0, 1.0), pairs


def _independent(a: Numbers, b: Numbers, pairs: float) -> float:
    """Return how many independent pairs there are, from how slow both are (Bartlett, for two first-order series)."""
    product = min(max(_neighbour(a) * _neighbour(b), 0.0), LARGEST_CORRELATION**2)
    return max(4.0, pairs * (1.0 - product) / (1.0 + product))


def _neighbour(numbers: Numbers) -> float:
    here, there = numbers[:-1], numbers[1:]
    both: NDArray[np.bool_] = ~np.isnan(here) & ~np.isnan(there)
    here, there = here[both] - np.nanmean(numbers), there[both] - np.nanmean(numbers)
    power = math.sqrt(float(here @ here) * float(there @ there))
    return float(here @ there) / power if power > 0 else 0.0


def _chance(independent: float, tries: float) -> float:
    """Return the limit of Fisher's z for the greatest of so many tries."""
    z = Z if tries <= 1 else math.sqrt(Z**2 + 2.0 * math.log(tries))
    return math.tanh(z / math.sqrt(max(independent - 3.0, 1.0)))
