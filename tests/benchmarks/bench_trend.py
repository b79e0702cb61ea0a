"""How often eight curves of a million values are drawn anew while the window of time moves, beside plain pyqtgraph."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from buswalk.domain.trend.samples import good_samples
from buswalk.domain.trend.series import Series
from buswalk.domain.trend.which_moved import Nature
from tests.benchmarks.figure import Figure

CURVES, VALUES = 8, 1_000_000
WIDTH, HEIGHT = 860, 540
SPELLS, SPELL_S, WARM_UP = 5, 1.5, 3
SHOWN_SHARE = 0.9
STEPS = 400
GAPS = 40
PEER = "pyqtgraph as it is"


def figures() -> Iterator[Figure]:
    """Measure nine tenths of all values in sight, moving; the peer draws the same arrays in a plot of the same size."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    application = QApplication.instance() or QApplication(["bench"])
    signals = _signals()
    began_s = time.perf_counter()
    ours = _ours(signals)
    built_s = time.perf_counter() - began_s
    redraws = _per_second(ours, application.processEvents)
    peer = _per_second(_plain(signals), application.processEvents)
    yield Figure("trend", "redraws_per_s", redraws, "1/s", PEER, peer, more_is_better=True)
    yield Figure("trend", "eight_million_values_taken_s", built_s, "s")


def _signals() -> list[np.ndarray]:
    """Return values that walk and scatter, with gaps in which nothing answered."""
    rng = np.random.default_rng(1)
    signals = []
    for _ in range(CURVES):
        numbers = np.cumsum(rng.normal(0, 0.02, VALUES)) + rng.normal(0, 0.3, VALUES)
        for begin in rng.integers(0, VALUES - 500, GAPS):
            numbers[begin : begin + 400] = np.nan
        signals.append(numbers)
    return signals


def _ours(signals: list[np.ndarray]) -> Callable[[int], None]:
    from buswalk.ui.look import Look
    from buswalk.ui.pages.trend.gap_names import gap_names
    from buswalk.ui.pages.trend.plot_layout import plot_layout
    from buswalk.ui.pages.trend.plots_view import PlotsView
    from buswalk.ui.pages.trend.time_window import TimeWindow
    from buswalk.ui.pages.trend.trend_state import PlotsState
    from buswalk.ui.pages.trend.watched_board import PointKey, WatchedPoint

    points = []
    for at, numbers in enumerate(signals):
        unit = ("°C", "°C", "°C", "°C", "% rH", "% rH", "ppm", "ppm")[at]
        series = Series()
        series.extend(good_samples(np.arange(float(VALUES)), numbers))
        points.append(WatchedPoint(PointKey(at + 1, "p"), "p", unit, 1, 0.1, Nature.MEASURE, series))
    layout = plot_layout(points, 0)
    view = PlotsView(Look())
    view.resize(WIDTH, HEIGHT)
    view.show()
    state = PlotsState(layout.plots, wall_time="2026-03-31T10:00:00+02:00")

    def draw(step: int) -> None:
        begins_s = _begin(step)
        window = TimeWindow(begins_s, begins_s + SHOWN_SHARE * VALUES, -1)
        gaps = gap_names(points, window.begins_s, window.ends_s)
        view.show_plots(replace(state, window=window, gaps=gaps, version=step))
        view.repaint()

    return draw


def _plain(signals: list[np.ndarray]) -> Callable[[int], None]:
    import pyqtgraph  # type: ignore[import-untyped]

    plot = pyqtgraph.PlotWidget()
    plot.resize(WIDTH, HEIGHT)
    times = np.arange(float(VALUES))
    for numbers in signals:
        plot.plot(times, numbers, connect="finite")
    plot.show()

    def draw(step: int) -> None:
        plot.setXRange(_begin(step), _begin(step) + SHOWN_SHARE * VALUES, padding=0)
        plot.viewport().repaint()

    return draw


def _begin(step: int) -> float:
    return (1 - SHOWN_SHARE) * VALUES * (step % STEPS) / STEPS


def _per_second(draw: Callable[[int], None], settle: Callable[[], None]) -> float:
    """Return the best of some spells: what else runs on the computer only takes away."""
    for step in range(WARM_UP):
        draw(step)
        settle()
    return max(_spell(draw, settle, WARM_UP + 1000 * spell) for spell in range(SPELLS))


def _spell(draw: Callable[[int], None], settle: Callable[[], None], first: int) -> float:
    began_s = time.perf_counter()
    drawn = 0
    while time.perf_counter() - began_s < SPELL_S:
        draw(first + drawn)
        settle()
        drawn += 1
    return drawn / (time.perf_counter() - began_s)
