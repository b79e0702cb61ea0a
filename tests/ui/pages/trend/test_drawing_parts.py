"""What the plots are made of: ticks, lines, ranges, which curves share a plot."""

from __future__ import annotations

import numpy as np
import pytest

from buswalk.domain.trend.samples import good_samples
from buswalk.domain.trend.series import Series
from buswalk.domain.trend.which_moved import Nature
from buswalk.ui.pages.trend.axis_ticks import time_ticks, value_ticks
from buswalk.ui.pages.trend.curve_lines import curve_lines
from buswalk.ui.pages.trend.plot_layout import plot_layout
from buswalk.ui.pages.trend.time_window import TimeWindow
from buswalk.ui.pages.trend.trend_words import amount, signed, small
from buswalk.ui.pages.trend.value_ranges import ValueRanges
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedPoint


def series_of(numbers: np.ndarray) -> Series:
    series = Series()
    series.extend(good_samples(np.arange(float(len(numbers))), numbers))
    return series


def point(device: int, unit: str, name: str = "p") -> WatchedPoint:
    return WatchedPoint(PointKey(device, name), name, unit, 1, 0.1, Nature.MEASURE, series_of(np.ones(10)))


@pytest.mark.parametrize(
    ("low", "high", "most", "words"),
    [
        (19.3, 28.7, 5, ["20", "22", "24", "26", "28"]),
        (-0.3, 0.3, 3, ["−0.2", "0.0", "0.2"]),
        (600, 663, 4, ["600", "620", "640", "660"]),
        (0.0, 0.0, 4, []),
    ],
)
def test_ticks_of_values_are_round(low: float, high: float, most: int, words: list[str]) -> None:
    assert [one.words for one in value_ticks(low, high, most)] == words


def test_ticks_of_time_are_round_times_of_the_day() -> None:
    """Line time 0 is 10:04:07."""
    ticks = time_ticks("2026-03-31T10:04:07+02:00", 0, 960, 8)

    assert [one.words for one in ticks] == ["10:06", "10:08", "10:10", "10:12", "10:14", "10:16", "10:18", "10:20"]
    assert ticks[0].at == 113


def test_few_samples_are_drawn_each_and_many_as_columns() -> None:
    numbers = np.sin(np.arange(10_000) / 5)
    series = series_of(numbers)

    few, many = curve_lines(series, 0, 99, 800), curve_lines(series, 0, 9_999, 800)

    assert len(few.xs) == 101
    assert len(many.xs) == 1600
    assert many.low == numbers[:-1].min()
    assert many.high == numbers[:-1].max()


@pytest.mark.parametrize("width", [50, 2000])
def test_lines_are_parted_at_every_gap_drawn_each_or_as_columns(width: int) -> None:
    numbers = np.ones(1000)
    numbers[300:320] = np.nan
    numbers[700:720] = np.nan

    found = curve_lines(series_of(numbers), 0, 1000, width)

    assert len(found.spans) == 3


def test_a_line_goes_on_to_the_edges_of_the_window() -> None:
    """The sample before and the one behind are drawn too: the plot clips."""
    found = curve_lines(series_of(np.arange(100.0)), 10.5, 20.5, 500)

    assert found.xs[0] < 0
    assert found.xs[-1] > 500
    assert (found.low, found.high) == (11, 20)


def test_a_range_is_kept_while_it_fits() -> None:
    """A live plot does not breathe; values that leave it or fill less than half of it change it."""
    ranges = ValueRanges()
    plot = plot_layout([point(21, "°C")], 0).plots[0]
    first = ranges.range_of(plot, [curve_lines(series_of(np.array([20.0, 30.0])), 0, 1, 100)])

    same = ranges.range_of(plot, [curve_lines(series_of(np.array([21.0, 28.0])), 0, 1, 100)])
    beyond = ranges.range_of(plot, [curve_lines(series_of(np.array([20.0, 40.0])), 0, 1, 100)])
    narrow = ranges.range_of(plot, [curve_lines(series_of(np.array([30.0, 31.0])), 0, 1, 100)])

    assert same == first
    assert beyond[1] > 40
    assert narrow[1] - narrow[0] < 2


def test_a_fifth_curve_of_a_unit_gets_a_plot_of_its_own() -> None:
    layout = plot_layout([point(at, "°C") for at in range(21, 26)], 0)

    assert [len(plot.curves) for plot in layout.plots] == [4, 1]


def test_a_fourth_unit_shares_the_lowest_place() -> None:
    points = [point(21, unit, unit) for unit in ("°C", "% rH", "ppm", "V")]

    first, second = plot_layout(points, 0), plot_layout(points, 1)

    assert first.tabs == ("ppm", "V")
    assert [one.unit for one in first.plots] == ["°C", "% rH", "ppm"]
    assert [one.unit for one in second.plots] == ["°C", "% rH", "V"]


def test_two_points_of_a_device_in_one_plot_are_named_in_full() -> None:
    layout = plot_layout([point(21, "°C", "supply"), point(21, "°C", "return"), point(22, "°C", "supply")], 0)

    assert [one.label for one in layout.plots[0].curves] == ["21 supply", "21 return", "22"]


def test_a_window_begins_with_the_first_value_until_it_is_full_then_goes_along() -> None:
    window = TimeWindow().chosen(0)

    early, late = window.followed(100, 130), window.followed(100, 1000)

    assert (early.begins_s, early.ends_s) == (100, 340)
    assert late.ends_s == pytest.approx(1002.4)


def test_zooming_keeps_the_moment_under_the_mouse_where_it_is() -> None:
    zoomed = TimeWindow(0, 100, -1).zoomed(0.5, 80, 1000)

    assert (zoomed.begins_s, zoomed.ends_s) == (40, 90)


def test_amounts_are_written_as_everywhere() -> None:
    assert amount(-3214.56, 1, "kPa") == "−3\u202f214.6 kPa"
    assert amount(-0.04, 1) == "0.0"
    assert signed(6.42, 1, "K") == "+6.4 K"
    assert small(0.0617, "K") == "0.062 K"
