"""Which figures the cards at the side need, from which moment on, and whether there can be any. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.ui.pages.trend.page_words import is_coarse
from buswalk.ui.pages.trend.shown_visit import ShownVisit
from buswalk.ui.pages.trend.side_cards import DRAWN_COARSELY, Told
from buswalk.ui.pages.trend.time_window import TimeWindow
from buswalk.ui.pages.trend.trend_state import MarkFlag
from buswalk.ui.pages.trend.watched_board import WatchedPoint
from buswalk.ui.pages.trend.ways import TrendWays
from buswalk.ui.pages.trend.working_out import Asked, WorkingOut

LEAST_REST_S = 30.0
"""Before a mark: where older values are coarse by now, so much suffices to tell rest and noise."""


@dataclass(frozen=True, slots=True)
class LookedAt:
    """What the cards tell of."""

    shown: ShownVisit
    points: tuple[WatchedPoint, ...]
    window: TimeWindow
    chosen: WatchedPoint | None
    mark: MarkFlag | None

    @property
    def begins_s(self) -> float:
        """From when on values are looked at: what is in sight, or since the mark before."""
        if self.mark is None:
            return self.window.begins_s
        at_s = self.mark.at_s
        earlier = (one.at_s for one in self.shown.marks.flags if one.at_s < at_s)
        begins_s = max(earlier, default=self.shown.first_s(self.points))
        coarse_to_s = max((one.series.coarse_to_s for one in self.points), default=begins_s)
        return max(begins_s, coarse_to_s) if coarse_to_s <= at_s - LEAST_REST_S else begins_s


class FiguresDesk:
    """Asks for figures as values come."""

    def __init__(self, ways: TrendWays) -> None:
        self._work = WorkingOut(ways)

    def forget(self) -> None:
        """Other values are shown: what was worked out is not of them."""
        self._work.forget()

    def told(self, looked: LookedAt) -> Told:
        """Return what was worked out, or why there is nothing."""
        if looked.chosen is None:
            return None
        if is_coarse(looked.points, looked.begins_s):
            return DRAWN_COARSELY
        return self._work.told_of(looked.chosen.key, looked.mark.row if looked.mark else 0)

    def ask(self, looked: LookedAt) -> None:
        """Ask for what the cards need, if that is not known."""
        chosen, mark, shown = looked.chosen, looked.mark, looked.shown
        if chosen is None or not len(chosen.series) or is_coarse(looked.points, looked.begins_s):
            return
        version = shown.board.version
        if mark is None:
            span = (looked.window.begins_s, looked.window.ends_s)
            points = looked.points if chosen in looked.points else (*looked.points, chosen)
            self._work.want(Asked(chosen.key, 0, *span, version), None, points)
            return
        ends_s = mark.ends_s if mark.ends_s is not None else shown.marks.next_after(mark.at_s)
        ends_s = min(ends_s, shown.last_s(looked.points))
        everyone = tuple(one for one in shown.board.points.values() if len(one.series))
        self._work.want(Asked(chosen.key, mark.row, looked.begins_s, ends_s, version), mark.at_s, everyone)
