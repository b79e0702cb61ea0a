"""One point's values over time, growing while it is watched: times, numbers, qualities, gaps."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.registers.samples import Quality
from buswalk.domain.trend.gap import Gap, WhyGap
from buswalk.domain.trend.gap_list import GapList
from buswalk.domain.trend.growing_array import GrowingArray
from buswalk.domain.trend.min_max_pyramid import MinMaxPyramid
from buswalk.domain.trend.samples import CODES, Numbers, Samples
from buswalk.domain.trend.thinning import thinned

RECENT_PERIODS = 64
SAMPLES_A_STEP = 32
"""Of the older half, when it is made coarser: five of them at most are kept."""


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """What a plot draws of a series, one entry a column of pixels.

    Attributes:
        least, greatest: NaN where the column holds no number.
        breaks: True where no line may come from the last column with numbers: there was a gap between.
    """

    least: Numbers
    greatest: Numbers
    breaks: NDArray[np.bool_]


class Series:
    """Grows at its end. Times go forward: a sample that is not later than the last one is left out.

    Attributes:
        coarse_to_s: Before this only samples are kept that decide how a curve looks: its picture and its gaps are
            right, figures of it would not be.
    """

    def __init__(self) -> None:
        self.coarse_to_s = -np.inf
        self._gaps = GapList()
        self._forget()

    @classmethod
    def coarse(cls, samples: Samples, gaps: GapList, coarse_to_s: float) -> Series:
        """Return a series of thinned samples, whose gaps were found before they were thinned."""
        series = cls()
        series._keep(samples)
        series._gaps, series.coarse_to_s = gaps, coarse_to_s
        return series

    def _forget(self) -> None:
        self._times: GrowingArray[np.float64] = GrowingArray(np.float64)
        self._numbers: GrowingArray[np.float64] = GrowingArray(np.float64)
        self._codes: GrowingArray[np.uint8] = GrowingArray(np.uint8)
        self._missed: GrowingArray[np.int64] = GrowingArray(np.int64)
        self._missed.extend(np.zeros(1, dtype=np.int64))
        self._pyramid = MinMaxPyramid()

    def __len__(self) -> int:
        return len(self._times)

    @property
    def samples(self) -> Samples:
        """All of it."""
        return Samples(self._times.values, self._numbers.values, self._codes.values)

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """All gaps, in order."""
        return self._gaps.all()

    @property
    def first_s(self) -> float:
        """Time of the first sample; NaN if there is none."""
        return float(self._times.values[0]) if len(self) else float("nan")

    @property
    def last_s(self) -> float:
        """Time of the last sample; NaN if there is none."""
        return self._times.last if len(self) else float("nan")

    @property
    def period_s(self) -> float:
        """The usual time between two looks, of the recent ones; NaN below three."""
        recent = self._times.values[-RECENT_PERIODS:]
        return float(np.median(np.diff(recent))) if len(recent) > 2 else float("nan")

    def append(self, time_s: float, number: float, quality: Quality) -> None:
        """Put one sample at the end: what a watch does many times a second, so without arrays of one."""
        if not time_s > (self._times.last if len(self) else -np.inf):
            return
        code = CODES[quality]
        self._gaps.append(time_s, number, code)
        self._times.append(time_s)
        self._numbers.append(number)
        self._codes.append(code)
        self._missed.append(self._missed.last + isnan(number))
        self._pyramid.append(number)

    def extend(self, more: Samples) -> None:
        """Put samples at the end."""
        more = self._later(more)
        if not len(more):
            return
        self._gaps.extend(more)
        self._keep(more)

    def make_coarser(self) -> None:
        """Keep of the older half what decides how it looks: the whole is then little more than half as long."""
        whole, half = self.samples, len(self) // 2
        if half < SAMPLES_A_STEP:
            return
        old = Samples(whole.times_s[:half], whole.numbers[:half], whole.codes[:half])
        kept = thinned(old, float(old.times_s[-1] - old.times_s[0]) / (half // SAMPLES_A_STEP))
        self.coarse_to_s = float(whole.times_s[half])
        newer = whole.last(len(self) - half)
        self._forget()
        self._keep(kept)
        self._keep(newer)

    def with_late(self, late: Samples) -> Series:
        """Return it with samples that came late where they belong; what is coarse by now stays as it is."""
        have = self.samples
        first = int(np.searchsorted(have.times_s, self.coarse_to_s))
        is_new = ~np.isin(late.times_s, have.times_s) & (late.times_s > self.coarse_to_s)
        if not is_new.any():
            return self
        times_s = np.concatenate((have.times_s[first:], late.times_s[is_new]))
        order = np.argsort(times_s, kind="stable")
        numbers = np.concatenate((have.numbers[first:], late.numbers[is_new]))
        codes = np.concatenate((have.codes[first:], late.codes[is_new])).astype(np.uint8)
        head = Samples(have.times_s[:first], have.numbers[:first], have.codes[:first])
        merged = Series.coarse(head, self._gaps.up_to(self.coarse_to_s), self.coarse_to_s)
        merged.extend(Samples(times_s[order], numbers[order], codes[order]))
        return merged

    def _keep(self, more: Samples) -> None:
        self._times.extend(more.times_s)
        self._numbers.extend(more.numbers)
        self._codes.extend(more.codes)
        self._missed.extend(self._missed.values[-1] + np.cumsum(np.isnan(more.numbers)))
        self._pyramid.extend(more.numbers)

    def gaps_between(self, begins_s: float, ends_s: float) -> tuple[Gap, ...]:
        """Return the gaps that a span of time touches."""
        return self._gaps.between(begins_s, ends_s)

    def last_before(self, time_s: float) -> int:
        """Return the place of the last sample not later than a time; -1 before the first."""
        return int(np.searchsorted(self._times.values, time_s, "right")) - 1

    def count_between(self, begins_s: float, ends_s: float) -> int:
        """Return how many samples a span of time holds."""
        first, last = np.searchsorted(self._times.values, (begins_s, ends_s))
        return int(last - first)

    def columns(self, begins_s: float, ends_s: float, count: int) -> Columns:
        """Return least and greatest for each of `count` equal columns of a span of time, exactly."""
        edges = np.linspace(begins_s, ends_s, count + 1)
        places = np.searchsorted(self._times.values, edges, "left")
        found = self._pyramid.extremes(places[:-1], places[1:])
        is_empty = found.least > found.greatest
        breaks = np.diff(self._missed.values[places]) > 0
        for gap in self._gaps.between(begins_s, ends_s):
            if gap.why is WhyGap.NOT_ASKED:
                at = int((gap.ends_s - begins_s) / (ends_s - begins_s) * count)
                breaks[min(max(at, 0), count - 1)] = True
        least = np.where(is_empty, np.nan, found.least)
        greatest = np.where(is_empty, np.nan, found.greatest)
        return Columns(least, greatest, _carried_on(breaks, is_empty))

    def _later(self, more: Samples) -> Samples:
        """Return only samples that are each later than all before."""
        latest = np.maximum.accumulate(np.concatenate(([self.last_s if len(self) else -np.inf], more.times_s)))
        keep = more.times_s > latest[:-1]
        return more if keep.all() else Samples(more.times_s[keep], more.numbers[keep], more.codes[keep])


def _carried_on(breaks: NDArray[np.bool_], is_empty: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Carry a break in an empty column on to the next column with numbers."""
    filled = np.flatnonzero(~is_empty)
    so_far = np.cumsum(breaks)[filled]
    carried = np.zeros(len(breaks), dtype=bool)
    carried[filled] = np.diff(np.concatenate(([0], so_far))) > 0
    return carried
