"""What the standard demands of the first bytes of a frame, as checks over many frames at once.

Each check also knows with what probability random bytes meet it, so that the bound on false frames comes from the very
rules that decide. Offsets count from the server address, as in the frame on the line.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.listening.running_crc import Bytes8, Flags

HEAD_BYTES = 12
"""So many bytes of a frame are looked at: function 17 has its byte count at the eleventh."""
WORDS = 1 << 16
BITS_A_BYTE = 8
BITS_A_REGISTER = 16


class Check(Protocol):
    """One demand."""

    @property
    def share(self) -> float:
        """Of all random frames, how many meet it."""

    def holds(self, heads: Bytes8) -> Flags:
        """Tell which frames meet it; `heads` has a row of `HEAD_BYTES` a frame."""


@dataclass(frozen=True, slots=True)
class ByteAmong:
    """The byte at `at` is one of these."""

    at: int
    allowed: frozenset[int]

    @property
    def share(self) -> float:
        """Of 256."""
        return len(self.allowed) / 256

    def holds(self, heads: Bytes8) -> Flags:
        """Look it up."""
        return _allowed(self.allowed, 256)[heads[:, self.at]]


@dataclass(frozen=True, slots=True)
class WordAmong:
    """The word at `at`, high byte first, is one of these."""

    at: int
    allowed: frozenset[int]

    @property
    def share(self) -> float:
        """Of 65536."""
        return len(self.allowed) / WORDS

    def holds(self, heads: Bytes8) -> Flags:
        """Look it up."""
        found: Flags = np.isin(_words(heads, self.at), list(self.allowed))
        return found


@dataclass(frozen=True, slots=True)
class SpanWithin:
    """Start at `at`, quantity behind it: 1 to the largest, and not beyond 65535 (Application V1.1b3, 4.4 and 6)."""

    at: int
    largest_quantity: int

    @property
    def share(self) -> float:
        """For each quantity q there are 65537 - q starts."""
        return sum(WORDS + 1 - quantity for quantity in range(1, self.largest_quantity + 1)) / WORDS**2

    def holds(self, heads: Bytes8) -> Flags:
        """Compare."""
        start, quantity = _words(heads, self.at), _words(heads, self.at + 2)
        within: Flags = (quantity >= 1) & (quantity <= self.largest_quantity) & (start + quantity <= WORDS)
        return within


@dataclass(frozen=True, slots=True)
class CountFits:
    """The byte at `count_at` counts the bytes of the quantity at `quantity_at`, which a `SpanWithin` bounds."""

    quantity_at: int
    count_at: int
    bits_each: int

    @property
    def share(self) -> float:
        """One value of 256."""
        return 1 / 256

    def holds(self, heads: Bytes8) -> Flags:
        """Compare."""
        bits = _words(heads, self.quantity_at) * self.bits_each
        fits: Flags = -(-bits // BITS_A_BYTE) == heads[:, self.count_at]
        return fits


@dataclass(frozen=True, slots=True)
class NeedsCompany:
    """Too short to be believed alone: address, function, CRC. Only a partner or quiet on both sides speaks for it."""

    @property
    def share(self) -> float:
        """None of them is believed alone."""
        return 0.0

    def holds(self, heads: Bytes8) -> Flags:
        """Never."""
        return np.zeros(len(heads), dtype=np.bool_)


def all_hold(checks: Iterable[Check], heads: Bytes8) -> Flags:
    """Tell which frames meet all."""
    held: Flags = np.ones(len(heads), dtype=np.bool_)
    for check in checks:
        held &= check.holds(heads)
    return held


def share_of(checks: Iterable[Check]) -> float:
    """Return how many random frames meet all: the checks look at different bytes, so shares multiply."""
    share = 1.0
    for check in checks:
        share *= check.share
    return share


def _words(heads: Bytes8, at: int) -> NDArray[np.int64]:
    return heads[:, at].astype(np.int64) << 8 | heads[:, at + 1]


def _allowed(values: frozenset[int], size: int) -> Flags:
    table: Flags = np.zeros(size, dtype=np.bool_)
    table[list(values)] = True
    return table
