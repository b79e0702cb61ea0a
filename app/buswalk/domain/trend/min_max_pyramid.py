"""Least and greatest of any span of a growing series, exactly, at a cost that hardly depends on how long the span is.

    level 0   every number
    level 1   least and greatest of 16 numbers
    level 2   of 16 x 16 ...

Asked for many spans at once, each is put together of whole blocks as high up as they fit, and at most 15 of a lower
level at either end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.trend.growing_array import GrowingArray

FAN = 16
"""Blocks of one level to one of the next: as fast as any of 2 to 32 at a million numbers, for 1/15 more room."""

Numbers = NDArray[np.float64]
Places = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Extremes:
    """One entry a span: +inf and -inf where it holds no number."""

    least: Numbers
    greatest: Numbers


class MinMaxPyramid:
    """NaN counts as no number."""

    def __init__(self) -> None:
        self._numbers: GrowingArray[np.float64] = GrowingArray(np.float64)
        self._levels: list[_Level] = []

    def extend(self, numbers: Numbers) -> None:
        """Put numbers at the end; only blocks that became whole are worked out."""
        self._numbers.extend(numbers)
        self._work_out()

    def append(self, number: float) -> None:
        """Put one number at the end."""
        self._numbers.append(number)
        if len(self._numbers) % FAN == 0:
            self._work_out()

    def _work_out(self) -> None:
        least = greatest = self._numbers.values
        at = 0
        while len(least) >= FAN:
            if at == len(self._levels):
                self._levels.append(_Level())
            level = self._levels[at]
            level.take(least, greatest)
            least, greatest = level.least.values, level.greatest.values
            at += 1

    def extremes(self, first: Places, last: Places) -> Extremes:
        """Return the extremes of numbers first[i] to last[i] - 1."""
        least = np.full(len(first), np.inf)
        greatest = np.full(len(first), -np.inf)
        lows = highs = self._numbers.values
        begin, end = first.astype(np.int64), np.maximum(first, last).astype(np.int64)
        for level in (*self._levels, None):
            inner_begin, inner_end = -(-begin // FAN), end // FAN
            fits = (inner_begin < inner_end) if level is not None else np.zeros(len(begin), dtype=bool)
            head_end = np.where(fits, inner_begin * FAN, end)
            _fold(least, greatest, (lows, highs), (begin, head_end))
            tail_begin = np.where(fits, inner_end * FAN, end)
            _fold(least, greatest, (lows, highs), (tail_begin, end))
            if level is None or not fits.any():
                break
            begin, end = np.where(fits, inner_begin, 0), np.where(fits, inner_end, 0)
            lows, highs = level.least.values, level.greatest.values
        return Extremes(least, greatest)


class _Level:
    """Blocks of FAN entries of the level below."""

    def __init__(self) -> None:
        self.least: GrowingArray[np.float64] = GrowingArray(np.float64)
        self.greatest: GrowingArray[np.float64] = GrowingArray(np.float64)

    def take(self, below_least: Numbers, below_greatest: Numbers) -> None:
        """Work out the blocks that are whole and not there yet."""
        whole = len(below_least) // FAN
        new = slice(len(self.least) * FAN, whole * FAN)
        lows, highs = below_least[new], below_greatest[new]
        if len(lows):
            self.least.extend(np.fmin.reduce(_or(lows, np.inf).reshape(-1, FAN), axis=1))
            self.greatest.extend(np.fmax.reduce(_or(highs, -np.inf).reshape(-1, FAN), axis=1))


def _or(numbers: Numbers, instead: float) -> Numbers:
    return np.where(np.isnan(numbers), instead, numbers)


def _fold(least: Numbers, greatest: Numbers, values: tuple[Numbers, Numbers], spans: tuple[Places, Places]) -> None:
    """Take the few entries of each span into its extremes. Spans are shorter than 2 FAN but at the top level."""
    lows, highs = values
    begin, end = spans
    longest = int((end - begin).max(initial=0))
    if not longest:
        return
    # One row a place within the span: folding rows is several times faster than folding along each span.
    at = begin + np.arange(longest)[:, None]
    is_out = at >= end
    at = np.minimum(at, len(lows) - 1)
    taken = lows[at]
    lowest = np.where(is_out, np.inf, taken)
    highest = np.where(is_out, -np.inf, taken if highs is lows else highs[at])
    np.fmin(least, np.fmin.reduce(lowest, axis=0), out=least)
    np.fmax(greatest, np.fmax.reduce(highest, axis=0), out=greatest)
