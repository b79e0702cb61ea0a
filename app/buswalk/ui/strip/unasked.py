"""Sorts bytes that nobody waited for: whole frames of others, late replies of ours, and what is left. Plain Python.

A late reply is told right behind its bytes, so a frame waits a moment for that before it counts as foreign.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.modbus.frame_splitter import Frame, FrameSplitter, Piece

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


class UnaskedBytes:
    """Takes arrivals and late replies; gives out what is sure."""

    def __init__(self) -> None:
        self._splitter = FrameSplitter()
        self._sorted: list[Unasked] = []
        self._last_s = 0.0
        self._ticks_waited = 0

    def take_bytes(self, data: bytes, at_s: float) -> None:
        """Take what an arrival brought."""
        self._last_s = at_s
        self._ticks_waited = 0
        self._sort(self._splitter.feed(data))

    def take_late(self, adu: bytes) -> None:
        """A frame is ours after all."""
        self._sort(self._splitter.finish() if not self._holds(adu) else ())
        for i, one in enumerate(self._sorted):
            if isinstance(one, ForeignHeard) and one.adu == adu:
                del self._sorted[i]
                return

    def tick(self) -> tuple[Unasked, ...]:
        """Return what has waited long enough."""
        self._ticks_waited += 1
        return self.settle() if self._ticks_waited >= WAIT_TICKS else ()

    def settle(self) -> tuple[Unasked, ...]:
        """Return everything: nothing can complete a frame or claim it any more."""
        self._sort(self._splitter.finish())
        self._splitter = FrameSplitter()
        taken, self._sorted = tuple(self._sorted), []
        return taken

    def _holds(self, adu: bytes) -> bool:
        return any(isinstance(one, ForeignHeard) and one.adu == adu for one in self._sorted)

    def _sort(self, pieces: tuple[Piece, ...]) -> None:
        for piece in pieces:
            if isinstance(piece, Frame):
                self._sorted.append(ForeignHeard(piece.adu, self._last_s))
            elif self._sorted and isinstance(last := self._sorted[-1], StrayHeard):
                self._sorted[-1] = StrayHeard(last.data + piece.data, self._last_s)
            else:
                self._sorted.append(StrayHeard(piece.data, self._last_s))
