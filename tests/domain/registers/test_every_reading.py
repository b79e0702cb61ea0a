"""Every reading of some words, held against struct; and the verdicts that people act on."""

from __future__ import annotations

import struct
from decimal import Decimal

from buswalk.domain.registers.every_reading import Reading, Verdict, every_reading
from buswalk.domain.registers.point import Between, Point
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value import NoValue, NumberValue
from buswalk.domain.registers.value_type import UINT16, ByteOrder, Layout, ValueType, WordOrder

LIMITS = Between(Decimal(300), Decimal(5000))
CO2 = Point("co2", Table.HOLDING_REGISTERS, 102, ValueType(Layout.FLOAT, 32, WordOrder.LOW_FIRST), range=LIMITS)
VOLT = Point(
    "valve", Table.HOLDING_REGISTERS, 0, UINT16, scale=Decimal("0.001"), range=Between(Decimal(0), Decimal(10))
)
FORMATS = {Layout.FLOAT: "f", Layout.UNSIGNED: "I", Layout.SIGNED: "i"}


def in_order(words: tuple[int, int], kind: ValueType) -> bytes:
    """Return the bytes, the most significant first, that struct unpacks."""
    ordered = words if kind.word_order is WordOrder.HIGH_FIRST else words[::-1]
    data = struct.pack(">HH", *ordered)
    if kind.byte_order is ByteOrder.EXCHANGED:
        data = bytes((data[1], data[0], data[3], data[2]))
    return data


def number(reading: Reading) -> float:
    assert isinstance(reading.value, NumberValue)
    return float(reading.value.value)


def test_two_words_are_read_in_every_order_as_struct_reads_them() -> None:
    words = (0x199A, 0x4419)

    readings = [
        one for one in every_reading(CO2, words) if one.point.value_type.layout in FORMATS and one.words == words
    ]

    assert len(readings) == 12
    for one in readings:
        kind = one.point.value_type
        value = number(one) if kind.layout is Layout.FLOAT else int(number(one))
        assert struct.pack(f">{FORMATS[kind.layout]}", value) == in_order(words, kind)


def test_the_listed_reading_comes_first_and_each_stands_once() -> None:
    readings = every_reading(CO2, (0x199A, 0x4419))

    assert (readings[0].is_listed, readings[0].verdict) == (True, Verdict.FITS)
    kinds = [(one.point.value_type, one.point.scale, one.first_word) for one in readings]
    assert len(set(kinds)) == len(kinds)


def test_what_cannot_be_is_absurd_and_what_needs_no_scale_is_possible() -> None:
    """5000 raw is 5.000 V by the list; its bytes exchanged are 34835, far beyond 10 V."""
    by_kind = {
        (one.point.value_type.layout, one.point.value_type.byte_order, one.point.scale): one
        for one in every_reading(VOLT, (5000,))
    }

    exchanged = by_kind[Layout.UNSIGNED, ByteOrder.EXCHANGED, Decimal("0.001")]
    assert (number(exchanged), exchanged.verdict) == (34.835, Verdict.ABSURD)
    assert by_kind[Layout.SIGNED, ByteOrder.STANDARD, Decimal("0.001")].verdict is Verdict.FITS


def test_digits_above_9_are_no_decimal_number() -> None:
    bcd = [one for one in every_reading(VOLT, (0x12AF,)) if one.point.value_type.layout is Layout.BCD]

    assert isinstance(bcd[0].value, NoValue)
    assert bcd[0].verdict is Verdict.ABSURD


def test_a_single_word_is_also_read_together_with_the_one_behind_it() -> None:
    """0x41AC0000 is 21.5 (IEEE 754)."""
    readings = every_reading(VOLT, (0x41AC,), (0x0000,))

    floats = [one for one in readings if one.point.value_type == ValueType(Layout.FLOAT, 32)]
    assert [number(one) for one in floats] == [21.5]
