"""Finds the gaps of a growing series: looks that brought nothing, and times when nobody looked."""

from __future__ import annotations

from bisect import bisect_left
from collections import deque
from dataclasses import replace
from math import isnan

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.record_samples import QUALITIES
from buswalk.domain.trend.gap import Gap, WhyGap, why_of
from buswalk.domain.trend.samples import Samples

NOT_ASKED_PERIODS = 4.0
"""A silence of so many usual periods is a gap although no look failed: nobody asked."""
LEAST_NOT_ASKED_S = 3.0
RECENT_PERIODS = 64
MOST_GAPS = 50_000
"""A device that comes and goes for weeks: the oldest gaps are forgotten then, to be read from the record."""
HAS_NUMBER = -1


class GapList:
    """Gaps in order; they touch but never overlap."""

    def __init__(self) -> None:
        self._gaps: list[Gap] = []
        self._recent_s: deque[float] = deque(maxlen=RECENT_PERIODS)

    def all(self) -> tuple[Gap, ...]:
        """Return all gaps."""
        return tuple(self._gaps)

    def between(self, begins_s: float, ends_s: float) -> tuple[Gap, ...]:
        """Return the gaps that a span of time touches."""
        first = bisect_left(self._gaps, begins_s, key=lambda gap: gap.ends_s)
        last = bisect_left(self._gaps, ends_s, key=lambda gap: gap.begins_s)
        return tuple(self._gaps[first:last])

    def up_to(self, time_s: float) -> GapList:
        """Return the gaps that are over by a time, to be gone on with from there."""
        part = GapList()
        part._gaps = [gap for gap in self._gaps if gap.is_over and gap.ends_s <= time_s]
        return part

    def extend(self, more: Samples) -> None:
        """Take samples that come behind all others."""
        if not len(more):
            return
        times_s = np.concatenate((np.array(self._recent_s), more.times_s))
        known = len(self._recent_s)
        steps = np.diff(times_s)
        silences = np.flatnonzero(steps > _longest_s(steps)) + 1 - known
        silences = silences[silences >= 0]
        kinds = np.where(np.isnan(more.numbers), more.codes.astype(np.int16), HAS_NUMBER)
        changes = np.flatnonzero(np.diff(kinds)) + 1
        begins = np.unique(np.concatenate(([0], changes, silences)))
        for begin, end in zip(begins, (*begins[1:], len(more)), strict=True):
            if begin in silences:
                self._silence(float(times_s[known + begin - 1]), float(more.times_s[begin]))
            self._run(int(kinds[begin]), float(more.times_s[begin]), float(more.times_s[end - 1]))
        self._recent_s.extend(more.times_s[-RECENT_PERIODS:].tolist())
        del self._gaps[:-MOST_GAPS]

    def append(self, time_s: float, number: float, code: int) -> None:
        """Take one sample behind all others, as a watch brings them; a short step needs no look at the usual one."""
        if self._recent_s and time_s - self._recent_s[-1] > LEAST_NOT_ASKED_S:
            steps = np.diff(np.array((*self._recent_s, time_s)))
            if steps[-1] > _longest_s(steps):
                self._silence(self._recent_s[-1], time_s)
        self._run(code if isnan(number) else HAS_NUMBER, time_s, time_s)
        self._recent_s.append(time_s)
        if len(self._gaps) > MOST_GAPS:
            del self._gaps[:-MOST_GAPS]

    def _silence(self, last_s: float, next_s: float) -> None:
        if self._is_open:
            self._gaps[-1] = replace(self._gaps[-1], ends_s=last_s, is_over=True)
        self._gaps.append(Gap(last_s, next_s, WhyGap.NOT_ASKED, is_over=True))

    def _run(self, kind: int, first_s: float, last_s: float) -> None:
        """Take neighbouring looks of one kind."""
        why = None if kind == HAS_NUMBER else why_of(QUALITIES[kind])
        if self._is_open:
            is_same = why is self._gaps[-1].why
            self._gaps[-1] = replace(self._gaps[-1], ends_s=last_s if is_same else first_s, is_over=not is_same)
        if why is not None and not self._is_open:
            self._gaps.append(Gap(first_s, last_s, why, is_over=False))

    @property
    def _is_open(self) -> bool:
        return bool(self._gaps) and not self._gaps[-1].is_over


def _longest_s(steps: NDArray[np.float64]) -> float:
    """Return the longest step that is no silence yet."""
    if len(steps) <= 2:
        return float("inf")
    return max(NOT_ASKED_PERIODS * float(np.median(steps)), LEAST_NOT_ASKED_S)
