"""Gaps as people name them: by device, points of one device told once. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.trend.gap import Gap, WhyGap
from buswalk.ui.pages.trend.trend_state import GapName
from buswalk.ui.pages.trend.watched_board import WatchedPoint
from buswalk.ui.wording import duration, seconds_words


def gap_names(points: Sequence[WatchedPoint], begins_s: float, ends_s: float) -> tuple[GapName, ...]:
    """Return the gaps of a span of time, those of one device and one reason joined where they touch."""
    told: list[GapName] = []
    spans: dict[tuple[int, WhyGap], list[Gap]] = {}
    for point in points:
        for gap in point.series.gaps_between(begins_s, ends_s):
            spans.setdefault((point.key.device, gap.why), []).append(gap)
    for (device, why), gaps in spans.items():
        told += [_named(device, why, gap) for gap in _joined(gaps)]
    return tuple(sorted(told, key=lambda one: one.begins_s))


def _joined(gaps: list[Gap]) -> list[Gap]:
    joined: list[Gap] = []
    for gap in sorted(gaps, key=lambda one: one.begins_s):
        if joined and gap.begins_s <= joined[-1].ends_s:
            last = joined[-1]
            ends_s = max(last.ends_s, gap.ends_s)
            joined[-1] = Gap(last.begins_s, ends_s, last.why, last.is_over and gap.is_over)
        else:
            joined.append(gap)
    return joined


def _named(device: int, why: WhyGap, gap: Gap) -> GapName:
    lasted = seconds_words(gap.seconds) if gap.seconds < 60 else duration(gap.seconds)
    so_far = "" if gap.is_over else " so far"
    who = f"{device}: " if device else ""
    return GapName(device, gap.begins_s, gap.ends_s, f"{who}{why.value} {lasted}{so_far}")
