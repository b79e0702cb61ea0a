"""Every notation of one register, and texts read in the notation stated."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.registers.notations import (
    Notation,
    RegisterPlace,
    UnreadablePlace,
    notations_of,
    read_place,
    read_reference,
    written,
)
from buswalk.domain.registers.tables import Table


def test_one_register_side_by_side() -> None:
    """Application V1.1b3, 4.4: register number 108 is sent as 107; 40108 is the custom of lists (6.3's example)."""
    seen = [one.text for one in notations_of(RegisterPlace(Table.HOLDING_REGISTERS, 107))]

    assert seen == ["107", "0x006B", "108", "40108", "400108"]


def test_behind_9999_there_are_no_five_digits() -> None:
    seen = {one.notation: one.text for one in notations_of(RegisterPlace(Table.INPUT_REGISTERS, 9999))}

    assert Notation.REFERENCE_NUMBER_5 not in seen
    assert seen[Notation.REFERENCE_NUMBER_6] == "310000"


@given(st.sampled_from(list(Table)), st.integers(0, 0xFFFF))
def test_what_is_written_reads_back(table: Table, address: int) -> None:
    place = RegisterPlace(table, address)

    for one in notations_of(place):
        assert read_place(one.text, one.notation, table) == place


@pytest.mark.parametrize(
    ("text", "notation", "address"),
    [
        ("0", Notation.REGISTER_ADDRESS, 0),
        ("65535", Notation.REGISTER_ADDRESS, 65535),
        ("1", Notation.REGISTER_NUMBER, 0),
        ("65536", Notation.REGISTER_NUMBER, 65535),
        ("6Bh", Notation.REGISTER_ADDRESS_HEX, 107),
        ("0x006b", Notation.REGISTER_ADDRESS_HEX, 107),
        ("10", Notation.REGISTER_ADDRESS_HEX, 16),
        (" 40001 ", Notation.REFERENCE_NUMBER_5, 0),
        ("465536", Notation.REFERENCE_NUMBER_6, 65535),
    ],
)
def test_texts_mean_what_their_notation_says(text: str, notation: Notation, address: int) -> None:
    assert read_place(text, notation, Table.HOLDING_REGISTERS).register_address == address


@pytest.mark.parametrize(
    ("text", "notation", "says"),
    [
        ("0x13", Notation.REGISTER_ADDRESS, "a hex number needs the notation register_address_hex"),
        ("65536", Notation.REGISTER_ADDRESS, "these go from 0 to 65535"),
        ("0", Notation.REGISTER_NUMBER, "these go from 1 to 65536"),
        ("1.000", Notation.REGISTER_ADDRESS, "is no number"),
        ("1" * 5000, Notation.REGISTER_ADDRESS, "these go from"),
        ("", Notation.REGISTER_ADDRESS, "is no number"),
        ("²", Notation.REGISTER_ADDRESS, "is no number"),
        ("12345", Notation.REGISTER_ADDRESS_HEX, "write 0x0000 to 0xFFFF"),
        ("400001", Notation.REFERENCE_NUMBER_5, "no reference number of 5 digits"),
        ("40001", Notation.REFERENCE_NUMBER_6, "no reference number of 6 digits"),
        ("40000", Notation.REFERENCE_NUMBER_5, "counts from 1"),
        ("465537", Notation.REFERENCE_NUMBER_6, "counts from 1 to 65536"),
        ("20001", Notation.REFERENCE_NUMBER_5, "begin with 0, 1, 3 or 4"),
        ("30001", Notation.REFERENCE_NUMBER_5, "names the input registers, the table stated is holding registers"),
    ],
)
def test_what_is_no_register_is_said(text: str, notation: Notation, says: str) -> None:
    with pytest.raises(UnreadablePlace) as told:
        read_place(text, notation, Table.HOLDING_REGISTERS)

    assert says in told.value.sentence


def test_a_reference_number_names_its_table() -> None:
    assert read_reference("00017", 5) == RegisterPlace(Table.COILS, 16)
    assert read_reference("100017", 6) == RegisterPlace(Table.DISCRETE_INPUTS, 16)


def test_five_digits_are_never_stretched() -> None:
    with pytest.raises(ValueError, match="no reference number of 5 digits"):
        written(RegisterPlace(Table.HOLDING_REGISTERS, 9999), Notation.REFERENCE_NUMBER_5)
