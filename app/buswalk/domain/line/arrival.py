"""What a port hands over: bytes, what the receiver marked on them, and what is known of their time."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias


class LineMark(Enum):
    """What a receiver says of a character beside its bits."""

    FRAMING_ERROR = "framing_error"
    PARITY_ERROR = "parity_error"
    DAMAGED = "damaged"
    """Framing or parity: the system says only that one of them failed."""
    BREAK = "break"
    OVERRUN = "overrun"


@dataclass(frozen=True, slots=True)
class ByteMark:
    """A mark on one byte of an arrival; `offset` counts from 0."""

    offset: int
    mark: LineMark


@dataclass(frozen=True, slots=True)
class CountedMarks:
    """So many marks in this arrival, their bytes unknown: some systems only count."""

    count: int
    mark: LineMark


Mark: TypeAlias = ByteMark | CountedMarks


@dataclass(frozen=True, slots=True)
class Arrival:
    """One lump of bytes as the port handed it over.

    The true time of each of its bytes (end of its last stop bit) lies between `not_before_s` (the
    last look that found nothing, less the latency of adapter and system) and `not_after_s` (when
    the read returned). Line time, in seconds.

    `data` may be empty only if there are marks: a system that counts errors can report one without
    a byte.

    Raises:
        ValueError: Nothing at all arrived, the times are the wrong way round, or a mark lies
            outside the bytes.
    """

    data: bytes
    marks: tuple[Mark, ...]
    not_before_s: float
    not_after_s: float

    def __post_init__(self) -> None:
        if not self.data and not self.marks:
            raise ValueError("an arrival has bytes or marks")
        if self.not_before_s > self.not_after_s:
            raise ValueError("an arrival cannot end before it begins")
        for mark in self.marks:
            if isinstance(mark, ByteMark) and not 0 <= mark.offset < len(self.data):
                raise ValueError(f"mark at byte {mark.offset} of {len(self.data)}")
