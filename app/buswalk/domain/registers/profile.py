"""A register profile: what is known of one device type. Reading and writing its file is in storage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.registers.loss_timer import NOT_DESCRIBED, LossTimer, NoTimerDescribed
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.tables import Table


@dataclass(frozen=True, slots=True)
class Block:
    """Neighbouring addresses of one table, both ends included.

    Raises:
        ValueError: It goes backward or leaves the table.
    """

    table: Table
    first: int
    last: int

    def __post_init__(self) -> None:
        if not 0 <= self.first <= self.last <= 0xFFFF:
            raise ValueError(f"a block goes upward within 0 to 65535, not from {self.first} to {self.last}")

    @property
    def quantity(self) -> int:
        """How many addresses it has."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class AnswersWith:
    """Part of a fingerprint: a text that the device tells of itself (functions 2B/0E or 11) contains this."""

    text: str


@dataclass(frozen=True, slots=True)
class HoldsWords:
    """Part of a fingerprint: these words are read here."""

    table: Table
    register_address: int
    words: tuple[int, ...]


FingerprintPart: TypeAlias = AnswersWith | HoldsWords


@dataclass(frozen=True, slots=True)
class ReadRules:
    """How this type wants to be read.

    Attributes:
        blocks: What may be read; empty means all of it. Nothing outside is asked, nor across a hole between two.
        largest_quantity: Of words in one request.
        largest_bit_quantity: Of bits in one request.
        minimum_gap_s: Least silence before a request, beside t3.5.
    """

    blocks: tuple[Block, ...] = ()
    largest_quantity: int = 125
    largest_bit_quantity: int = 2000
    minimum_gap_s: float = 0.0


@dataclass(frozen=True, slots=True)
class RegisterProfile:
    """One device type.

    Attributes:
        name: Of its file without the ending; lower case, digits and hyphens.
        title: What people call the type.
        fingerprint: All parts must hold for a device to be taken for this type; empty for none.
        loss_timer: What it does when nobody asks it, as its documents say.
    """

    name: str
    title: str
    points: tuple[Point, ...]
    rules: ReadRules = ReadRules()
    fingerprint: tuple[FingerprintPart, ...] = ()
    notes: str = ""
    loss_timer: LossTimer | NoTimerDescribed = NOT_DESCRIBED

    def __post_init__(self) -> None:
        if len({one.name for one in self.points}) < len(self.points):
            raise ValueError(f"profile {self.name}: two points have the same name")

    def point(self, name: str) -> Point:
        """Return a point by its name. Raises KeyError."""
        return next_or_raise(self.points, name)


def next_or_raise(points: tuple[Point, ...], name: str) -> Point:
    """Return the point of this name. Raises KeyError."""
    for one in points:
        if one.name == name:
            return one
    raise KeyError(name)
