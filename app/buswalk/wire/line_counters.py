"""Counts of line errors that Linux drivers keep (TIOCGICOUNT), for ports that do not mark the bytes themselves.

Layout: `struct serial_icounter_struct` of the kernel's serial header, twenty ints of which the seventh to tenth are
frame, overrun, parity and break.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.arrival import CountedMarks, LineMark

COUNTERS_REQUEST = 0x545D
COUNTERS_BYTES = 80
_LAYOUT = struct.Struct("=20i")
_PLACES = {
    LineMark.FRAMING_ERROR: 6,
    LineMark.OVERRUN: 7,
    LineMark.PARITY_ERROR: 8,
    LineMark.BREAK: 9,
}
WRAP = 1 << 32

Ask: TypeAlias = Callable[[], bytes]
"""Asks the driver; raises OSError where it keeps no counts."""


@dataclass(frozen=True, slots=True)
class ErrorCounts:
    """The counts at one moment."""

    counts: tuple[tuple[LineMark, int], ...]

    @classmethod
    def of(cls, answer: bytes) -> ErrorCounts:
        """Take the driver's answer apart."""
        numbers = _LAYOUT.unpack(answer)
        return cls(tuple((mark, numbers[place]) for mark, place in _PLACES.items()))

    def since(self, earlier: ErrorCounts) -> tuple[CountedMarks, ...]:
        """Return what was counted since then; the driver's numbers wrap at 32 bits."""
        before = dict(earlier.counts)
        grown = ((mark, (count - before[mark]) % WRAP) for mark, count in self.counts)
        return tuple(CountedMarks(more, mark) for mark, more in grown if more)


class LineCounters:
    """Tells what the driver has counted since the last time it was asked."""

    def __init__(self, ask: Ask) -> None:
        self._ask = ask
        self._last: ErrorCounts | None = None

    def start(self) -> bool:
        """Begin to count from here; return whether this driver counts at all."""
        try:
            self._last = ErrorCounts.of(self._ask())
        except OSError:
            self._last = None
        return self._last is not None

    def news(self, wanted: frozenset[LineMark]) -> tuple[CountedMarks, ...]:
        """Return the wanted marks counted since the last call."""
        if self._last is None:
            return ()
        now = ErrorCounts.of(self._ask())
        marks = now.since(self._last)
        self._last = now
        return tuple(one for one in marks if one.mark in wanted)
