"""Reads values of one session of a record for the span in sight, as dense as the picture needs them. Plain Python.

Nothing waits: part after part is asked for, and drawn as it comes where nothing stood there before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from buswalk.bus.trend_queries import PointSoFar, ReadSpanPart, SpanPart
from buswalk.domain.trend.gap_list import GapList
from buswalk.domain.trend.samples import Samples
from buswalk.domain.trend.series import Series
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedBoard
from buswalk.ui.pages.trend.ways import AsksRecord

STEPS_IN_SIGHT = 4000
LEAST_STEPS_IN_SIGHT = 1500
"""Coarser than this it is read anew: no screen has so many columns of one plot."""
JUST_BEFORE_S = 1e-6
"""What is read begins behind a time; records count in whole nanoseconds."""
ROOM_SHARE = 1.0
"""So much is read before and after what is in sight: moving does not wait at once."""


@dataclass(frozen=True, slots=True)
class Span:
    """What is read, or was: a span of time, which points, and how dense."""

    begins_s: float
    ends_s: float
    keys: frozenset[PointKey]
    step_s: float
    is_whole: bool = False

    def serves(self, begins_s: float, ends_s: float, keys: frozenset[PointKey]) -> bool:
        """Tell whether these points can be drawn out of it over a span."""
        is_inside = self.begins_s <= begins_s and ends_s <= self.ends_s and keys <= self.keys
        return is_inside and (self.is_whole or self.step_s * LEAST_STEPS_IN_SIGHT <= ends_s - begins_s)


class _Reading:
    """A span on its way."""

    def __init__(self, span: Span, keys: Sequence[PointKey]) -> None:
        self.span = span
        self.keys = tuple(keys)
        self.gaps = tuple(GapList() for _ in keys)
        self.parts: list[list[Samples]] = [[] for _ in keys]
        self.read_to_s = span.begins_s - JUST_BEFORE_S
        self.left_out = 0

    def take(self, part: SpanPart) -> None:
        """Take what came."""
        self.gaps = tuple(one.gaps for one in part.points)
        for have, more in zip(self.parts, part.points, strict=True):
            have.append(more.samples)
        self.left_out += sum(one.left_out for one in part.points)
        self.read_to_s = part.read_to_s

    def series(self) -> list[Series]:
        """Return one for each key, as far as read."""
        coarse_to_s = np.inf if self.left_out else -np.inf
        return [
            Series.coarse(_joined(samples), gaps, coarse_to_s)
            for samples, gaps in zip(self.parts, self.gaps, strict=True)
        ]


class SpanReading:
    """Puts the series of a board in place, for one session of one record."""

    def __init__(self, ask: AsksRecord, path: str, session: int, board: WatchedBoard) -> None:
        self._ask = ask
        self._path = path
        self._session = session
        self._board = board
        self._shown: Span | None = None
        self._reading: _Reading | None = None
        self._failed: Span | None = None
        self.problem = ""

    @property
    def share_read(self) -> float:
        """How much of what is being read has come; 1 while nothing is."""
        if self._reading is None:
            return 1.0
        span = self._reading.span
        return (self._reading.read_to_s - span.begins_s) / (span.ends_s - span.begins_s)

    def want(self, sight: tuple[float, float], extent: tuple[float, float], keys: Sequence[PointKey]) -> None:
        """Read what is missing of a span in sight; what was being read for another one is let go."""
        begins_s, ends_s = max(sight[0], extent[0]), min(sight[1], extent[1])
        wanted = frozenset(keys)
        known = self._reading.span if self._reading is not None else self._shown
        if (
            ends_s <= begins_s
            or not keys
            or any(one is not None and one.serves(begins_s, ends_s, wanted) for one in (known, self._failed))
        ):
            return
        room_s = ROOM_SHARE * (ends_s - begins_s)
        span = Span(
            max(begins_s - room_s, extent[0]),
            min(ends_s + room_s, extent[1]),
            wanted,
            (ends_s - begins_s) / STEPS_IN_SIGHT,
        )
        self._reading = _Reading(span, keys)
        self._ask_on(self._reading)

    def _ask_on(self, reading: _Reading) -> None:
        points = tuple(
            PointSoFar(key.device, key.point, gaps) for key, gaps in zip(reading.keys, reading.gaps, strict=True)
        )
        span = reading.span
        query = ReadSpanPart(self._session, points, reading.read_to_s, span.ends_s, span.step_s)

        def take(part: object) -> None:
            if reading is self._reading and isinstance(part, SpanPart):
                self._take(reading, part)

        def refused(sentence: str) -> None:
            if reading is self._reading:
                self._failed, self._reading, self.problem = span, None, sentence

        self._ask(self._path, query, take, refused)

    def _take(self, reading: _Reading, part: SpanPart) -> None:
        reading.take(part)
        self.problem, self._failed = "", None
        span = reading.span
        is_done = reading.read_to_s >= span.ends_s
        if is_done or self._shown is None:
            self._show(reading)
        if is_done:
            self._shown = Span(span.begins_s, span.ends_s, span.keys, span.step_s, is_whole=not reading.left_out)
            self._reading = None
        else:
            self._ask_on(reading)

    def _show(self, reading: _Reading) -> None:
        for key, series in zip(reading.keys, reading.series(), strict=True):
            self._board.points[key].series = series
        self._board.version += 1


def _joined(parts: Sequence[Samples]) -> Samples:
    return Samples(
        np.concatenate([one.times_s for one in parts]),
        np.concatenate([one.numbers for one in parts]),
        np.concatenate([one.codes for one in parts]),
    )
