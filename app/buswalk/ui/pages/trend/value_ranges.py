"""The range of values that each plot shows: kept while it fits, so that a live plot does not breathe. Plain Python."""

from __future__ import annotations

import math
from collections.abc import Sequence

from buswalk.ui.pages.trend.axis_ticks import padded
from buswalk.ui.pages.trend.curve_lines import CurveLines
from buswalk.ui.pages.trend.plot_layout import PlotState

FILLS_ENOUGH = 0.5


class ValueRanges:
    """Remembers the range of each plot by its curves."""

    def __init__(self) -> None:
        self._kept: dict[tuple[object, ...], tuple[float, float]] = {}

    def range_of(self, plot: PlotState, lines: Sequence[CurveLines]) -> tuple[float, float]:
        """Return the range for what is drawn now."""
        lows = [one.low for one in lines if not math.isnan(one.low)]
        highs = [one.high for one in lines if not math.isnan(one.high)]
        key = tuple(one.key for one in plot.curves)
        if not lows:
            return self._kept.get(key, (0.0, 1.0))
        low, high = min(lows), max(highs)
        wanted = padded(low, high, plot.least_span)
        kept = self._kept.get(key)
        if kept and kept[0] <= low and high <= kept[1] and wanted[1] - wanted[0] >= FILLS_ENOUGH * (kept[1] - kept[0]):
            return kept
        self._kept[key] = wanted
        return wanted
