"""Whose values the page shows: the session that runs, or one out of a record. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, field

from buswalk.ui.pages.trend.mark_list import MarkList
from buswalk.ui.pages.trend.watched_board import WatchedBoard, WatchedPoint


@dataclass(slots=True)
class ShownVisit:
    """Points with their values, marks, and what is known of when and where.

    Attributes:
        span: First and last moment with values, where that is known without having them all; empty otherwise.
    """

    board: WatchedBoard = field(default_factory=WatchedBoard)
    marks: MarkList = field(default_factory=MarkList)
    wall_time: str = ""
    is_simulated: bool = False
    record_name: str = ""
    span: tuple[float, ...] = ()

    def first_s(self, points: tuple[WatchedPoint, ...]) -> float:
        """When the first of these points told its first value."""
        known = [one.series.first_s for one in points if len(one.series)]
        return self.span[0] if self.span else min(known, default=0.0)

    def last_s(self, points: tuple[WatchedPoint, ...]) -> float:
        """When the last of these points told its last value."""
        known = [one.series.last_s for one in points if len(one.series)]
        return self.span[1] if self.span else max(known, default=0.0)
