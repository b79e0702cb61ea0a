"""The sentence under the page's name, how often is read, and what an export holds. Plain Python."""

from __future__ import annotations

import math

from buswalk.domain.trend.export_table import ExportColumn, ExportMark, ExportTable
from buswalk.domain.watching.plan import Retries
from buswalk.ui.pages.trend.gap_names import gap_names
from buswalk.ui.pages.trend.period_words import retries_words
from buswalk.ui.pages.trend.shown_visit import ShownVisit
from buswalk.ui.pages.trend.time_window import TimeWindow
from buswalk.ui.pages.trend.watched_board import WatchedPoint
from buswalk.ui.wording import address_list, plural, seconds_words, stamp

EXTREMES_ONLY = "only least and greatest values of each short while, drawn so: export a shorter window for all"
Points = tuple[WatchedPoint, ...]


def is_coarse(points: Points, begins_s: float) -> bool:
    """Tell whether a span from here on has only the samples that decide how a curve looks."""
    return any(one.series.coarse_to_s > begins_s for one in points)


def summary_sentence(points: Points, shown: ShownVisit, unread: str) -> str:
    """Return how many points of whom, how many marks, and what was lost."""
    if not points:
        return "No point is drawn: choose with F2." if shown.board.points else "Nothing watched yet."
    first_s = shown.first_s(points)
    devices = address_list([one.key.device for one in points if one.key.device])
    gaps = len(gap_names(points, first_s, shown.last_s(points)))
    since = f" since {stamp(shown.wall_time, first_s)}" if shown.wall_time else ""
    lost = f"{plural(gaps, 'gap')}{since}" if gaps else f"nothing lost{since}"
    who = f"{plural(len(points), 'point')} of {devices or 'a hand instrument'}"
    return f"{who}. {plural(len(shown.marks.flags), 'mark')}, {lost}. {unread}".rstrip()


def every_words(points: Points, retries: Retries) -> str:
    """Return how often points are read."""
    whole = [one for one in points if one.key.device and not is_coarse((one,), one.series.last_s)]
    periods = [one.series.period_s for one in whole if not math.isnan(one.series.period_s)]
    if not periods:
        return ""
    low, high = min(periods), max(periods)
    devices = plural(len({one.key.device for one in points if one.key.device}), "device")
    low, high = round(low, 1), round(high, 1)
    every = seconds_words(low) if high - low < 0.1 * high else f"{seconds_words(low)} to {seconds_words(high)}"
    return f"Every {every}, {devices}{retries_words(retries)}"


def export_table(points: Points, shown: ShownVisit, window: TimeWindow) -> ExportTable:
    """Return what is in sight, with where it is from."""
    columns = tuple(
        ExportColumn(
            f"{one.name}, {one.unit}" if one.unit else one.name,
            one.decimals,
            one.series.samples.between(window.begins_s, window.ends_s),
        )
        for one in points
    )
    flags = [one for one in shown.marks.flags if window.begins_s <= one.at_s <= window.ends_s]
    marks = tuple(ExportMark(one.at_s, f"{one.number} {one.words}") for one in flags)
    made_up = "simulated line, no evidence; " if shown.is_simulated else ""
    coarse = f"; {EXTREMES_ONLY}" if is_coarse(points, window.begins_s) else ""
    return ExportTable(shown.wall_time, columns, marks, f"{made_up}record {shown.record_name or 'none'}{coarse}")
