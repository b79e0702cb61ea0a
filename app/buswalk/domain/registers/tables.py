"""The four tables of the data model (Application V1.1b3, 4.3), and what reads each."""

from __future__ import annotations

from enum import Enum


class Table(Enum):
    """One table of the data model. Holding and input registers are words of 16 bits, the other two are bits."""

    COILS = "coils"
    DISCRETE_INPUTS = "discrete_inputs"
    INPUT_REGISTERS = "input_registers"
    HOLDING_REGISTERS = "holding_registers"

    @property
    def read_function(self) -> int:
        """The function code that reads it (Application V1.1b3, 6.1 to 6.4)."""
        return _READ_FUNCTIONS[self]

    @property
    def digit(self) -> int:
        """Its leading digit in reference numbers (40001 style): a custom, not the standard."""
        return _DIGITS[self]

    @property
    def holds_bits(self) -> bool:
        """Whether one address is one bit; otherwise it is a word of 16."""
        return self in (Table.COILS, Table.DISCRETE_INPUTS)

    @property
    def can_be_written(self) -> bool:
        """Whether the standard has functions that write it."""
        return self in (Table.COILS, Table.HOLDING_REGISTERS)

    @property
    def largest_quantity(self) -> int:
        """The most that one request may ask for: 2000 bits or 125 words (Application V1.1b3, 6.1 to 6.4)."""
        return 2000 if self.holds_bits else 125


_READ_FUNCTIONS = {
    Table.COILS: 0x01,
    Table.DISCRETE_INPUTS: 0x02,
    Table.HOLDING_REGISTERS: 0x03,
    Table.INPUT_REGISTERS: 0x04,
}
_DIGITS = {Table.COILS: 0, Table.DISCRETE_INPUTS: 1, Table.INPUT_REGISTERS: 3, Table.HOLDING_REGISTERS: 4}
