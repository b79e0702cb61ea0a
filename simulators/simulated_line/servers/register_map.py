"""The four tables of a device, with holes, moving values and limits (Application V1.1b3, 4.3)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum
from typing import TypeAlias

Value: TypeAlias = int | Callable[[float], int]
"""A fixed 16-bit word or bit, or one that is computed from line time when it is read."""


class Table(Enum):
    """The tables of the data model."""

    COILS = "coils"
    DISCRETE_INPUTS = "discrete_inputs"
    HOLDING_REGISTERS = "holding_registers"
    INPUT_REGISTERS = "input_registers"


@dataclass(slots=True)
class RegisterMap:
    """Values by table and 0-based address; what is not there does not exist.

    Attributes:
        clear_on_read: Cells that fall to 0 when they were read.
        frozen_from_s: From then on values stand still that are computed from time.
    """

    cells: dict[Table, dict[int, Value]] = field(default_factory=lambda: {table: {} for table in Table})
    clear_on_read: set[tuple[Table, int]] = field(default_factory=set)
    frozen_from_s: float = float("inf")

    def put(self, table: Table, address: int, *values: Value) -> None:
        """Set values from an address on."""
        for offset, value in enumerate(values):
            self.cells[table][address + offset] = value

    def has(self, table: Table, address: int, quantity: int) -> bool:
        """Tell whether the whole span exists."""
        cells = self.cells[table]
        return all(one in cells for one in range(address, address + quantity))

    def read(self, table: Table, address: int, quantity: int, now_s: float) -> list[int]:
        """Return the values of a span that exists."""
        seen_s = min(now_s, self.frozen_from_s)
        values: list[int] = []
        for one in range(address, address + quantity):
            value = self.cells[table][one]
            values.append(value(seen_s) & 0xFFFF if callable(value) else value)
            if (table, one) in self.clear_on_read:
                self.cells[table][one] = 0
        return values
