"""A way to read a shown value out of registers, and those that come to the same."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import ValueType


@dataclass(frozen=True, slots=True)
class Scaling:
    """value = raw * scale + offset."""

    scale: Decimal
    offset: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Meaning:
    """Where a value stands and how it is read."""

    table: Table
    register_address: int
    value_type: ValueType
    scaling: Scaling

    @property
    def last_register_address(self) -> int:
        """Of its last word."""
        return self.register_address + self.value_type.words - 1


@dataclass(frozen=True, slots=True)
class Candidate:
    """Meanings that have given the same numbers at every look, so that nothing tells them apart yet.

    Attributes:
        meanings: At least one, the simplest first.
        numbers: What it read at each look, scaled.
        worst_steps: The largest distance from what was shown, in steps of the display's last digit.
    """

    meanings: tuple[Meaning, ...]
    numbers: tuple[float, ...]
    worst_steps: float
