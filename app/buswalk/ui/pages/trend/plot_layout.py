"""Which curves share a plot: those of one unit, at most four; the first plot is taller. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.trend.series import Series
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedPoint

MOST_CURVES = 4
MOST_PLOTS = 3
WEIGHTS = (10, 6, 6)
NO_UNIT = "no unit"


@dataclass(frozen=True, slots=True)
class CurveState:
    """One curve.

    Attributes:
        label: What stands at it: the device, and the point where two of one device are in the plot.
        spoken: Name and unit for readers.
    """

    key: PointKey
    label: str
    spoken: str
    series: Series


@dataclass(frozen=True, slots=True)
class PlotState:
    """One plot.

    Attributes:
        least_span: The range is never narrower, so that a value at rest is a flat line.
    """

    unit: str
    weight: int
    least_span: float
    curves: tuple[CurveState, ...]


@dataclass(frozen=True, slots=True)
class PlotLayout:
    """The plots in sight, and the units of those that share the lowest place."""

    plots: tuple[PlotState, ...]
    tabs: tuple[str, ...]
    tab: int


def plot_layout(points: Sequence[WatchedPoint], tab: int) -> PlotLayout:
    """Group points; where there are more plots than places, the lowest place shows one of the rest."""
    groups = _groups(points)
    if len(groups) <= MOST_PLOTS:
        return PlotLayout(tuple(_plot(group, WEIGHTS[i]) for i, group in enumerate(groups)), (), 0)
    rest = groups[MOST_PLOTS - 1 :]
    chosen = min(tab, len(rest) - 1)
    shown = [*groups[: MOST_PLOTS - 1], rest[chosen]]
    return PlotLayout(
        tuple(_plot(group, WEIGHTS[i]) for i, group in enumerate(shown)),
        tuple(group[0].unit or NO_UNIT for group in rest),
        chosen,
    )


def _groups(points: Sequence[WatchedPoint]) -> list[list[WatchedPoint]]:
    by_unit: dict[str, list[WatchedPoint]] = {}
    for point in points:
        by_unit.setdefault(point.unit, []).append(point)
    groups = []
    for same in by_unit.values():
        groups += [same[at : at + MOST_CURVES] for at in range(0, len(same), MOST_CURVES)]
    return groups


def _plot(points: Sequence[WatchedPoint], weight: int) -> PlotState:
    devices = [one.key.device for one in points]
    curves = tuple(
        CurveState(
            one.key,
            str(one.key.device) if one.key.device and devices.count(one.key.device) == 1 else one.name,
            f"{one.name}, {one.unit or NO_UNIT}",
            one.series,
        )
        for one in points
    )
    least = max(10.0 * 10.0 ** -max(one.decimals, 0) for one in points)
    return PlotState(points[0].unit, weight, least, curves)
