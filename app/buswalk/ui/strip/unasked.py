"""Sorts bytes that nobody waited for: whole frames of others, late replies of ours, and what is left. Plain Python.

A late reply is told right behind its bytes, so a frame waits a moment for that before it counts as foreign.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.listening.heard_bytes import Pace
from buswalk.domain.listening.heard_so_far import HeardSoFar, NamedFrame, NamedPiece

WAIT_TICKS = 2


@dataclass(frozen=True, slots=True)
class ForeignHeard:
    """A whole frame that is not ours."""

    adu: bytes
    at_s: float


@dataclass(frozen=True, slots=True)
class StrayHeard:
    """Bytes that make no frame."""

    data: bytes
    at_s: float


Unasked: TypeAlias = ForeignHeard | StrayHeard


@dataclass(frozen=True, slots=True)
class _Waiting:
    """Something heard, and the tick at which it was sorted."""

    heard: Unasked
    since: int


class UnaskedBytes:
    """Takes arrivals and late replies; gives out what is sure. Frames are those that listening finds.

    Arrivals are looked at once a tick, all together: a quick line brings a thousand a second.
    """

    def __init__(self) -> None:
        self._sorted: list[_Waiting] = []
        self._tick = self._quiet_ticks = 0
        self._begin()

    def take(self, arrival: Arrival) -> None:
        """Take what came."""
        self._arrivals.append(arrival)
        self._end += len(arrival.data)
        self._ends.append((self._end, arrival.not_after_s))
        self._quiet_ticks = 0

    def take_late(self, adu: bytes) -> None:
        """A frame is ours after all: its request makes sure of it, which those that listen do not know."""
        self._sort(self._heard.take(self._handed_over()))
        if not any(one.heard.adu == adu for one in self._sorted if isinstance(one.heard, ForeignHeard)):
            self._finish()
        for at, one in enumerate(self._sorted):
            match one.heard:
                case ForeignHeard(adu=other) if other == adu:
                    del self._sorted[at]
                    return
                case StrayHeard(data, at_s) if adu in data:
                    around = [part for part in data.split(adu, 1) if part]
                    self._sorted[at : at + 1] = [_Waiting(StrayHeard(part, at_s), one.since) for part in around]
                    return

    def tick(self) -> tuple[Unasked, ...]:
        """Return what has waited long enough; all of it once the line was quiet for so long."""
        self._tick += 1
        self._quiet_ticks += 1
        if self._quiet_ticks == WAIT_TICKS:
            self._sort(self._heard.take_silence(self._handed_over()))
            return self._given(self._tick)
        if self._arrivals:
            self._sort(self._heard.take(self._handed_over()))
        return self._given(self._tick - WAIT_TICKS)

    def settle(self) -> tuple[Unasked, ...]:
        """Return everything: nothing can complete a frame or claim it any more."""
        self._finish()
        return self._given(self._tick)

    def _begin(self) -> None:
        self._heard = HeardSoFar(Pace.not_told())
        self._arrivals: list[Arrival] = []
        self._ends: deque[tuple[int, float]] = deque()
        self._end = 0

    def _finish(self) -> None:
        if self._end:
            self._sort(self._heard.finish(self._handed_over()))
            self._begin()

    def _handed_over(self) -> list[Arrival]:
        arrivals, self._arrivals = self._arrivals, []
        return arrivals

    def _given(self, until_tick: int) -> tuple[Unasked, ...]:
        given = tuple(one.heard for one in self._sorted if one.since <= until_tick)
        self._sorted = [one for one in self._sorted if one.since > until_tick]
        return given

    def _sort(self, pieces: list[NamedPiece]) -> None:
        for piece in pieces:
            if isinstance(piece, NamedFrame):
                self._put(ForeignHeard(piece.adu, self._came_s(piece.end)))
                continue
            at_s = self._came_s(piece.offset + len(piece.data))
            last = self._sorted[-1].heard if self._sorted else None
            if isinstance(last, StrayHeard):
                self._sorted.pop()
                self._put(StrayHeard(last.data + piece.data, at_s))
            else:
                self._put(StrayHeard(piece.data, at_s))

    def _put(self, heard: Unasked) -> None:
        self._sorted.append(_Waiting(heard, self._tick))

    def _came_s(self, end: int) -> float:
        """Return when the byte in front of this offset came; what lies before it is forgotten."""
        while len(self._ends) > 1 and self._ends[0][0] < end:
            self._ends.popleft()
        return self._ends[0][1]
