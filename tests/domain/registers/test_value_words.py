"""Values as people read them: units always, no digit more than the point has, and no value is no number."""

from __future__ import annotations

import struct
from dataclasses import replace
from decimal import Decimal

import pytest

from buswalk.domain.registers.point import BitField, NamedValue, Point
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import BIT, Layout, ValueType
from buswalk.domain.registers.value_words import bits_in_words, read_words

HOLDING = Table.HOLDING_REGISTERS
TENTHS = ValueType(Layout.SIGNED, 16)
ROOM = Point("room", HOLDING, 0, TENTHS, scale=Decimal("0.1"), unit="°C", decimals=1, sentinels=(0x8000,))
FLOAT = Point("flow", HOLDING, 0, ValueType(Layout.FLOAT, 32), unit="m³/h")
MODE = Point("mode", HOLDING, 0, named=(NamedValue(2, "cooling"),))
STAMP = Point("at", HOLDING, 0, ValueType(Layout.TIME, 32))


def float_words(number: float) -> tuple[int, ...]:
    return struct.unpack(">HH", struct.pack(">f", number))


@pytest.mark.parametrize(
    ("point", "words", "said"),
    [
        (ROOM, (214,), "21.4 °C"),
        (ROOM, (200,), "20.0 °C"),
        (ROOM, (0xFFEC,), "-2.0 °C"),
        (ROOM, (0x8000,), "no value (0x8000)"),
        (FLOAT, float_words(21.4), "21.4 m³/h"),
        (FLOAT, float_words(2.7e23), "2.7000e+23 m³/h"),
        (FLOAT, float_words(float("nan")), "no value (0x7FC0 0000: it is not a number)"),
        (MODE, (2,), "2 = cooling"),
        (MODE, (3,), "3"),
        (Point("energy", HOLDING, 0, scale=Decimal(10)), (12,), "120"),
        (STAMP, (0x6A27, 0x5F80), "2026-06-09 00:34:08 UTC"),
        (Point("fan", Table.COILS, 0, BIT), (1,), "on"),
    ],
)
def test_values_in_words(point: Point, words: tuple[int, ...], said: str) -> None:
    """Time stamps: 0x6A275F80 is 1780965248 s after 1970, computed with Python's datetime."""
    assert read_words(point, words) == said


def test_bits_are_said_by_their_names() -> None:
    fields = (BitField("frost alarm", 0), BitField("stage", 4, 2), BitField("mode", 8, 1, (NamedValue(1, "auto"),)))
    point = Point("status", HOLDING, 0, bit_fields=fields)

    assert bits_in_words(point, (0b1_0010_0001,)) == ("frost alarm: on", "stage: 2", "mode: auto")


WHOLE = replace(FLOAT, is_shown_whole=True)


@pytest.mark.parametrize(
    ("point", "number", "says"),
    [
        (FLOAT, 896.4394, "896.4394 m³/h"),
        (WHOLE, 896.4394, "896 m³/h"),
        (WHOLE, -0.2, "0 m³/h"),
        (WHOLE, 3.0e38, "3.0000e+38 m³/h"),
        (replace(FLOAT, decimals=1), 3.0e38, "3.0000e+38 m³/h"),
    ],
)
def test_no_decimals_are_shown_where_the_list_says_so(point: Point, number: float, says: str) -> None:
    """Only where it does: a float of which nothing is said shows what it has. Hugest ones never fill a page."""
    assert read_words(point, float_words(number)) == says


def test_shown_whole_and_with_decimals_is_refused() -> None:
    with pytest.raises(ValueError, match="not both"):
        replace(FLOAT, is_shown_whole=True, decimals=2)
