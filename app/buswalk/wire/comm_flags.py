"""Line errors on Windows: each look at the queue (ClearCommError) hands them over once, so they are kept here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import TypeAlias

from buswalk.domain.line.arrival import CountedMarks, LineMark

FLAG_MARKS = (
    (0x0001, LineMark.OVERRUN),
    (0x0002, LineMark.OVERRUN),
    (0x0004, LineMark.PARITY_ERROR),
    (0x0008, LineMark.FRAMING_ERROR),
    (0x0010, LineMark.BREAK),
)
"""CE_RXOVER, CE_OVERRUN, CE_RXPARITY, CE_FRAME, CE_BREAK of the system's communications header."""

Clear: TypeAlias = Callable[[], tuple[int, int]]
"""Asks and clears: the error flags, and how many bytes wait. Raises OSError when the port is lost."""


class FlagKeeper:
    """Keeps the flags of every look until they are taken. A flag says 'at least one', and not at which byte."""

    def __init__(self, clear: Clear) -> None:
        self._clear = clear
        self._seen: Counter[LineMark] = Counter()

    def waiting(self) -> int:
        """Return how many bytes wait; keep what the system says beside it."""
        flags, count = self._clear()
        self._seen.update({mark for bit, mark in FLAG_MARKS if flags & bit})
        return count

    def forget(self) -> None:
        """Drop what was seen, and what the system still holds."""
        self.waiting()
        self._seen.clear()

    def take(self) -> tuple[CountedMarks, ...]:
        """Return the marks seen since the last call: one for each look that had the flag."""
        marks = tuple(CountedMarks(self._seen[mark], mark) for mark in LineMark if self._seen[mark])
        self._seen.clear()
        return marks
