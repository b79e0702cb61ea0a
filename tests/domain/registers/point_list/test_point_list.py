"""Point lists as people write them: any order of columns, any notation, and every trap gets its sentence."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from buswalk.domain.registers.point import Access, Between, NamedValue, Point
from buswalk.domain.registers.point_list.address_cells import ListNotation
from buswalk.domain.registers.point_list.mapping import NoPointList, guessed_mapping
from buswalk.domain.registers.point_list.reading import ReadPoints, read_points
from buswalk.domain.registers.point_list.type_cells import access_of, range_of, scale_of, type_of
from buswalk.domain.registers.point_list.writing import rows_of_points
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import ByteOrder, Layout, ValueType, WordOrder
from buswalk.domain.site.list_text import SourceRow, rows_of_text

PLAIN = """\
Name;Register;Type;Factor;Unit;Access
Room temperature;40001;INT16;0,1;°C;R
Setpoint;40002;INT16;x0.1;°C;R/W
Energy;40003;UINT32 (word swap);1/1000;MWh;RO
Flow;30001;FLOAT;;m3/h;R
"""


def read(text: str, notation: ListNotation | None = None) -> ReadPoints:
    rows = rows_of_text(text)
    mapping = guessed_mapping(rows).mapping
    return read_points("list.csv", rows, replace(mapping, notation=notation) if notation else mapping)


def sentences(result: ReadPoints) -> list[str]:
    return [str(one) for one in result.troubles]


def test_a_list_with_reference_numbers_and_decimal_commas_is_read_as_it_is_meant() -> None:
    """40001 is holding register 0 as sent, 30001 input register 0 (a custom of the trade, not the standard)."""
    room, setpoint, energy, flow = read(PLAIN).points

    assert (room.name, room.table, room.register_address) == ("room_temperature", Table.HOLDING_REGISTERS, 0)
    assert (room.scale, room.unit, room.value_type) == (Decimal("0.1"), "°C", ValueType(Layout.SIGNED, 16))
    assert (setpoint.register_address, setpoint.access) == (1, Access.READ_WRITE)
    assert energy.value_type == ValueType(Layout.UNSIGNED, 32, WordOrder.LOW_FIRST)
    assert energy.scale == Decimal("0.001")
    assert (flow.table, flow.register_address) == (Table.INPUT_REGISTERS, 0)
    assert flow.value_type == ValueType(Layout.FLOAT, 32)
    assert read(PLAIN).troubles == ()


def test_columns_may_stand_in_any_order_and_a_title_above_them() -> None:
    title = "Register map of the unit\n\nUnit,Data type,Description,Address (hex)\n"
    text = f"{title}°C,int16,Supply,0x0010\n%,uint16,Valve,0x0011\n"

    supply, valve = read(text).points

    assert (supply.register_address, supply.unit, supply.words) == (16, "°C", "Supply")
    assert (valve.register_address, valve.value_type) == (17, ValueType(Layout.UNSIGNED, 16))


def test_a_register_that_stands_twice_is_taken_once_and_named() -> None:
    result = read("Name;Register\nRoom;40001\nSupply;40002\nRoom again;40001\n")

    assert [one.words for one in result.points] == ["Room", "Supply"]
    assert sentences(result) == ["list.csv:4: 40001 stands in row 2 already: left out"]


def test_two_points_of_one_name_are_both_taken_and_the_second_is_numbered() -> None:
    result = read("Name;Register\nTemperature;40001\nTemperature;40002\n")

    assert [one.name for one in result.points] == ["temperature", "temperature_2"]
    assert sentences(result) == ["list.csv:3: 'Temperature' is the name of row 2 too: called temperature_2"]


def test_mixed_notations_are_not_guessed_away() -> None:
    """A row that has no reference number among those that have one is left out, with a sentence."""
    result = read("Name;Register\nRoom;40001\nSupply;40002\nReturn;40003\nOdd one;12\n")

    assert len(result.points) == 3
    assert sentences(result) == ["list.csv:5: 12 is no reference number like the others of this list: left out"]


def test_thousands_signs_in_addresses_are_read_and_said() -> None:
    result = read("Name;Register\nRoom;40.001\nSupply;40 002\n")

    assert [one.register_address for one in result.points] == [0, 1]
    assert sentences(result) == [
        "list.csv:2: '40.001' is read as 40001",
        "list.csv:3: '40 002' is read as 40002",
    ]


@pytest.mark.parametrize(
    ("addresses", "notation", "doubt"),
    [
        ("0 1 2", ListNotation.AS_SENT, ""),
        ("1 2 3", ListNotation.FROM_ONE, "it begins at 1, and 0 is not in it"),
        ("100 102", ListNotation.AS_SENT, "nothing tells whether it counts from 0 or 1"),
        ("40001 40002", ListNotation.REFERENCE, ""),
        ("400001 400002", ListNotation.REFERENCE, ""),
        ("0x10 0x11", ListNotation.AS_SENT, "numbers in hex are mostly as sent"),
    ],
)
def test_the_notation_is_guessed_with_its_reason(addresses: str, notation: ListNotation, doubt: str) -> None:
    text = "Name;Register;Table\n" + "".join(f"p{i};{one};holding\n" for i, one in enumerate(addresses.split()))

    guessed = guessed_mapping(rows_of_text(text))

    assert guessed.mapping.notation is notation
    assert [one for one in guessed.doubts if "addresses are taken" in one and doubt in one] or not doubt


def test_the_user_corrects_the_notation() -> None:
    """The same list, counted from 1: everything stands one lower."""
    text = "Name;Register;Table\nRoom;100;input register\n"

    as_sent, from_one = read(text).points[0], read(text, ListNotation.FROM_ONE).points[0]

    assert (as_sent.register_address, from_one.register_address) == (100, 99)


def test_bits_of_one_register_become_one_point() -> None:
    result = read("Name;Register;Bit\nFrost alarm;40010;0\nFilter alarm;40010;3\nRoom;40011;\n")

    alarms, room = result.points
    assert [(one.name, one.first_bit) for one in alarms.bit_fields] == [("Frost alarm", 0), ("Filter alarm", 3)]
    assert room.register_address == 10
    assert result.troubles == ()


def test_a_function_code_that_contradicts_the_number_is_said() -> None:
    result = read("Name;Register;Function\nRoom;40001;04\n")

    assert result.points == ()
    assert "names two tables, holding registers and input registers" in sentences(result)[0]


def test_what_cannot_be_read_in_a_cell_is_said_and_the_row_stays() -> None:
    result = read("Name;Register;Factor;Range;Access\nRoom;40001;tenths;warm;maybe\n")

    (room,) = result.points
    assert (room.scale, room.access) == (Decimal(1), Access.READ)
    assert len(result.troubles) == 3
    assert all(not one.is_left_out for one in result.troubles)


def test_a_type_that_does_not_fill_its_registers_is_left_out() -> None:
    result = read("Name;Register;Type;Registers\nEnergy;40001;UINT32;1\n")

    assert result.points == ()
    assert "32 bits do not fill 1 registers" in sentences(result)[0]


def test_rows_without_headings_are_no_list() -> None:
    with pytest.raises(NoPointList, match="no row of headings"):
        guessed_mapping((SourceRow(1, ("21.5", "Room")), SourceRow(2, ("22.5", "Supply"))))


@pytest.mark.parametrize(
    ("text", "scale"),
    [("0.1", "0.1"), ("0,1", "0.1"), ("x10", "10"), ("1/10", "0.1"), ("/100", "0.01"), ("10^-1", "0.1"), ("", "1")],
)
def test_factors_as_people_write_them(text: str, scale: str) -> None:
    assert scale_of(text) == Decimal(scale)


@pytest.mark.parametrize(
    ("text", "limits"),
    [("0..100", (0, 100)), ("-40 to 125", (-40, 125)), ("0-100 %", (0, 100)), ("[−20; 60]", (-20, 60))],
)
def test_ranges_as_people_write_them(text: str, limits: tuple[int, int]) -> None:
    assert range_of(text) == Between(Decimal(limits[0]), Decimal(limits[1]))


@pytest.mark.parametrize(
    ("text", "value_type"),
    [
        ("U16", ValueType(Layout.UNSIGNED, 16)),
        ("signed int", ValueType(Layout.SIGNED, 16)),
        ("REAL", ValueType(Layout.FLOAT, 32)),
        ("DWORD", ValueType(Layout.UNSIGNED, 32)),
        ("Float32 little endian", ValueType(Layout.FLOAT, 32, WordOrder.LOW_FIRST, ByteOrder.EXCHANGED)),
        ("INT32 CDAB", ValueType(Layout.SIGNED, 32, WordOrder.LOW_FIRST)),
        ("uint 64", ValueType(Layout.UNSIGNED, 64)),
        ("float 64", ValueType(Layout.FLOAT, 64)),
        ("BCD", ValueType(Layout.BCD, 16)),
        ("DINT", ValueType(Layout.SIGNED, 32)),
    ],
)
def test_types_as_lists_call_them(text: str, value_type: ValueType) -> None:
    """IEC 61131-3 names (REAL, DINT, DWORD) and those of common lists; from memory."""
    assert type_of(text, "", 0) == value_type


@pytest.mark.parametrize(("text", "access"), [("R/W", Access.READ_WRITE), ("RO", Access.READ), ("wo", Access.WRITE)])
def test_access_as_people_write_it(text: str, access: Access) -> None:
    assert access_of(text) is access


@pytest.mark.parametrize("notation", list(ListNotation))
def test_what_is_written_is_read_again_the_same(notation: ListNotation) -> None:
    points = (
        Point(
            "room",
            Table.HOLDING_REGISTERS,
            0,
            ValueType(Layout.SIGNED, 16),
            "room",
            Decimal("0.1"),
            unit="°C",
            decimals=1,
        ),
        Point("energy", Table.HOLDING_REGISTERS, 10, ValueType(Layout.UNSIGNED, 32, WordOrder.LOW_FIRST), "energy"),
        Point(
            "level",
            Table.INPUT_REGISTERS,
            4,
            ValueType(Layout.FLOAT, 32, WordOrder.LOW_FIRST, ByteOrder.EXCHANGED),
            "level",
        ),
        Point("label", Table.HOLDING_REGISTERS, 30, ValueType(Layout.TEXT, 128), "label"),
        Point(
            "mode",
            Table.HOLDING_REGISTERS,
            20,
            words="mode",
            range=Between(Decimal(0), Decimal(2)),
            named=(NamedValue(0, "off"), NamedValue(1, "on")),
            sentinels=(0x8000,),
            access=Access.READ_WRITE,
        ),
    )
    rows = tuple(SourceRow(i, row) for i, row in enumerate(rows_of_points(points, notation), start=1))

    result = read_points("back", rows, replace(guessed_mapping(rows).mapping, notation=notation))

    assert result.troubles == ()
    assert result.points == points
