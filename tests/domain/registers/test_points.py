"""Points and profiles refuse what cannot be."""

from __future__ import annotations

from decimal import Decimal

import pytest

from buswalk.domain.registers.point import Access, Point
from buswalk.domain.registers.profile import Block, RegisterProfile
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import BIT, Layout, ValueType


def test_each_table_is_read_by_its_function() -> None:
    """Application V1.1b3, 6.1 to 6.4."""
    read_by = {one: one.read_function for one in Table}

    assert read_by == {
        Table.COILS: 1,
        Table.DISCRETE_INPUTS: 2,
        Table.HOLDING_REGISTERS: 3,
        Table.INPUT_REGISTERS: 4,
    }


def test_a_value_of_two_words_does_not_end_beyond_the_table() -> None:
    """The last register has address 65535."""
    with pytest.raises(ValueError, match="total would end beyond"):
        Point("total", Table.HOLDING_REGISTERS, 0xFFFF, ValueType(Layout.UNSIGNED, 32))


def test_input_registers_cannot_be_written() -> None:
    """No function of the standard writes them."""
    with pytest.raises(ValueError, match="cannot be written"):
        Point("room", Table.INPUT_REGISTERS, 0, access=Access.READ_WRITE)


def test_coils_hold_bits_and_nothing_else() -> None:
    """A word in a table of bits is a mistake of the list."""
    assert Point("fan", Table.COILS, 0, BIT).last_register_address == 0
    with pytest.raises(ValueError, match="hold bits"):
        Point("fan", Table.COILS, 0)


def test_a_scale_of_nothing_is_refused() -> None:
    """It would make all values equal."""
    with pytest.raises(ValueError, match="scale of 0"):
        Point("room", Table.HOLDING_REGISTERS, 0, scale=Decimal(0))


def test_a_float_has_no_48_bits() -> None:
    """IEEE 754 has 16, 32 and 64."""
    with pytest.raises(ValueError, match="16, 32, 64 bits, not 48"):
        ValueType(Layout.FLOAT, 48)


def test_two_points_of_one_name_are_refused() -> None:
    """A point is asked for by its name."""
    room = Point("room", Table.HOLDING_REGISTERS, 0)

    with pytest.raises(ValueError, match="same name"):
        RegisterProfile("room-unit", "Room unit", (room, room))


def test_a_block_goes_upward() -> None:
    """First and last exchanged is a slip of the pen."""
    assert Block(Table.COILS, 3, 5).quantity == 3
    with pytest.raises(ValueError, match="upward"):
        Block(Table.COILS, 5, 3)
