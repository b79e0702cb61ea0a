"""What is asked of the samples in a record, and what comes: columns, as days of watching have millions of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from buswalk.domain.registers.samples import Quality

QUALITIES = tuple(Quality)
"""By their codes in columns and in the record. New ones are put at the end."""
MOST_SAMPLES = 2_000_000
"""So many are handed over at once; more are asked for with `after_s` = the last time."""


@dataclass(frozen=True, slots=True)
class SamplePage:
    """Which samples of one point to read, in order of time.

    Attributes:
        session: Counted from 1; line times are of this session.
        after_s: Those later than this.
        to_s: None later than this.
        limit: The first so many of them.
    """

    server_address: int
    point: str
    session: int
    after_s: float = -math.inf
    to_s: float = math.inf
    limit: int = MOST_SAMPLES

    def __post_init__(self) -> None:
        if not 1 <= self.limit <= MOST_SAMPLES:
            raise ValueError(f"a page has 1 to {MOST_SAMPLES} samples, not {self.limit}")


@dataclass(frozen=True, slots=True)
class SampleColumns:
    """Samples of one point as packed columns of one length, for `numpy.frombuffer`.

    Attributes:
        times_ns: Line time in nanoseconds, 64-bit integers, low byte first ("<i8").
        numbers: 64-bit floats, low byte first ("<f8"); NaN where there is none.
        codes: One byte each: its place in `QUALITIES`.
    """

    times_ns: bytes
    numbers: bytes
    codes: bytes

    def __post_init__(self) -> None:
        if not len(self.times_ns) == len(self.numbers) == 8 * len(self.codes):
            raise ValueError("every sample has a time, a number and a quality")

    def __len__(self) -> int:
        return len(self.codes)


NO_SAMPLES = SampleColumns(b"", b"", b"")
