"""When what is worked out of the values is asked for anew, and what came back last. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.trend.moment_story import MomentQuestion, MomentTold, SpanQuestion, SpanTold
from buswalk.domain.trend.which_moved import Watched
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedPoint
from buswalk.ui.pages.trend.ways import TrendWays

MOST_SAMPLES = 120_000
"""Of all points of one question together: what is handed over takes a few ms."""
TICKS_BETWEEN = 15
"""While values come, and nothing else is asked."""

Question: TypeAlias = SpanQuestion | MomentQuestion
Told: TypeAlias = SpanTold | MomentTold


@dataclass(frozen=True, slots=True)
class Asked:
    """What a question was about; an answer to another is not shown."""

    chosen: PointKey
    mark_row: int
    begins_s: float
    ends_s: float
    version: int

    def is_same_place(self, other: Asked) -> bool:
        """Whether only values came since."""
        return (self.chosen, self.mark_row) == (other.chosen, other.mark_row)


class WorkingOut:
    """One question at a time."""

    def __init__(self, ways: TrendWays) -> None:
        self._ways = ways
        self._asked: Asked | None = None
        self._is_waiting = False
        self._ticks = 0
        self._told: Told | None = None
        self.problem = ""
        self.version = 0
        self._generation = 0

    def forget(self) -> None:
        """What is known and what is still to come is of other values."""
        self._generation += 1
        self._asked = self._told = None
        self._is_waiting = False

    def told_of(self, chosen: PointKey, mark_row: int) -> Told | None:
        """Return what was worked out for a point and a mark (0 for none), if it was."""
        asked = self._asked
        return self._told if asked is not None and (asked.chosen, asked.mark_row) == (chosen, mark_row) else None

    def want(self, asked: Asked, moment_s: float | None, points: Sequence[WatchedPoint]) -> None:
        """Ask, unless this is known already, or the last answer is still to come, or was a moment ago."""
        self._ticks += 1
        if self._is_waiting or asked == self._asked:
            return
        is_new_place = self._asked is None or not asked.is_same_place(self._asked)
        if not is_new_place and self._ticks < TICKS_BETWEEN:
            return
        if is_new_place:
            self._told = None
        self._asked, self._is_waiting, self._ticks = asked, True, 0
        generation = self._generation

        def take(result: object) -> None:
            if generation == self._generation:
                self._take(result)

        def refused(sentence: str) -> None:
            if generation == self._generation:
                self._refused(sentence)

        self._ways.calculate(_question(asked, moment_s, points), take, refused)

    def _take(self, result: object) -> None:
        self._is_waiting = False
        self.problem = ""
        if isinstance(result, SpanTold | MomentTold):
            self._told = result
            self.version += 1

    def _refused(self, sentence: str) -> None:
        self._is_waiting = False
        self.problem = sentence
        self.version += 1


def _question(asked: Asked, moment_s: float | None, points: Sequence[WatchedPoint]) -> Question:
    most = MOST_SAMPLES // max(len(points), 1)
    watched = tuple(
        Watched(
            key_text(one.key),
            one.series.samples.between(asked.begins_s, asked.ends_s).last(most),
            one.resolution,
            one.nature,
        )
        for one in points
    )
    if moment_s is None:
        return SpanQuestion(key_text(asked.chosen), watched, asked.begins_s, asked.ends_s)
    return MomentQuestion(key_text(asked.chosen), watched, asked.begins_s, moment_s, asked.ends_s)


def key_text(key: PointKey) -> str:
    """Return a key as the text that goes along with values."""
    return f"{key.device} {key.point}"
