"""The lines of one curve for so many px: each sample where there is room, least and greatest a column where not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.trend.series import Series

Numbers = NDArray[np.float64]
DENSE = 2.0
"""Samples a column from which columns are drawn in place of samples."""


@dataclass(frozen=True, slots=True, eq=False)
class CurveLines:
    """Lines parted by gaps.

    Attributes:
        xs: Px from the left, in order.
        values: What stands there.
        cuts: Places in both where another line begins: what is before was parted by a gap.
        low, high: Of all that is drawn; NaN for nothing.
    """

    xs: Numbers
    values: Numbers
    cuts: tuple[int, ...]
    low: float
    high: float

    @property
    def spans(self) -> tuple[tuple[int, int], ...]:
        """From where to where each line goes."""
        ends = (*self.cuts, len(self.xs))
        return tuple(zip((0, *self.cuts), ends, strict=True)) if len(self.xs) else ()

    def value_near(self, x: float) -> float:
        """Return the value at a place, or next to it; there must be one."""
        return float(self.values[min(int(np.searchsorted(self.xs, x)), len(self.xs) - 1)])


NOTHING = CurveLines(np.empty(0), np.empty(0), (), float("nan"), float("nan"))


def curve_lines(series: Series, begins_s: float, ends_s: float, width: int) -> CurveLines:
    """Return the lines within a span of time that is `width` px wide."""
    if width < 1 or ends_s <= begins_s or not len(series):
        return NOTHING
    if series.count_between(begins_s, ends_s) > DENSE * width:
        return _of_columns(series, begins_s, ends_s, width)
    return _of_samples(series, begins_s, ends_s, width)


def _of_columns(series: Series, begins_s: float, ends_s: float, width: int) -> CurveLines:
    columns = series.columns(begins_s, ends_s, width)
    filled = np.flatnonzero(~np.isnan(columns.least))
    if not len(filled):
        return NOTHING
    least, greatest = columns.least[filled], columns.greatest[filled]
    xs = np.repeat(filled + 0.5, 2)
    ys = np.empty(2 * len(filled))
    # Up and down by turns: neighbouring columns are then joined without a needless stroke across.
    is_even = np.arange(len(filled)) % 2 == 0
    ys[0::2] = np.where(is_even, least, greatest)
    ys[1::2] = np.where(is_even, greatest, least)
    cuts = 2 * np.flatnonzero(columns.breaks[filled][1:]) + 2
    return CurveLines(xs, ys, tuple(cuts.tolist()), float(least.min()), float(greatest.max()))


def _of_samples(series: Series, begins_s: float, ends_s: float, width: int) -> CurveLines:
    whole = series.samples
    first = max(int(np.searchsorted(whole.times_s, begins_s)) - 1, 0)
    last = int(np.searchsorted(whole.times_s, ends_s, "right")) + 1
    times, numbers = whole.times_s[first:last], whole.numbers[first:last]
    has_number = ~np.isnan(numbers)
    if not has_number.any():
        return NOTHING
    ends = np.array([gap.ends_s for gap in series.gaps_between(begins_s, ends_s)])
    is_cut = np.zeros(len(times), dtype=bool)
    places = np.searchsorted(times, ends)
    is_cut[places[places < len(times)]] = True
    xs = (times - begins_s) / (ends_s - begins_s) * width
    kept = numbers[has_number]
    cuts = np.flatnonzero(is_cut[has_number])
    inside = kept[(times[has_number] >= begins_s) & (times[has_number] <= ends_s)]
    seen = inside if len(inside) else kept
    return CurveLines(xs[has_number], kept, tuple(cuts[cuts > 0].tolist()), float(seen.min()), float(seen.max()))
