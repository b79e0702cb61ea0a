"""All readings of words: the true one stands out, and what is absurd is said to be."""

from __future__ import annotations

import struct
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.registers.point import Between, Point
from buswalk.domain.registers.readings import Plausibility, Reading, every_reading
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value import NumberValue, TextValue, TimeValue
from buswalk.domain.registers.value_type import INT16, UINT16, Layout, ValueType

NO_RANGE = Point("seen", Table.HOLDING_REGISTERS, 0)


def between(low: int, high: int, scale: str = "1") -> Point:
    return Point("seen", Table.HOLDING_REGISTERS, 0, range=Between(Decimal(low), Decimal(high)), scale=Decimal(scale))


def fitting(readings: tuple[Reading, ...]) -> list[str]:
    return [one.words for one in readings if one.plausibility is Plausibility.FITS]


def named(readings: tuple[Reading, ...], words: str) -> Reading:
    return next(one for one in readings if one.words == words)


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ("41AC 0000", "float 32, high word first"),
        ("0000 41AC", "float 32, low word first"),
        ("AC41 0000", "float 32, high word first, bytes exchanged"),
        ("0000 AC41", "float 32, low word first, bytes exchanged"),
    ],
)
def test_the_order_of_a_float_stands_out(sent: str, words: str) -> None:
    """21.5 in the four orders; the others read 2.4e-41 or -2.7e-12 by IEEE 754."""
    wire = [int(one, 16) for one in sent.split()]

    readings = every_reading(between(5, 50), wire)

    assert fitting(readings) == [words]
    assert {one.plausibility for one in readings if one.words.startswith("float 32") and one.words != words} == {
        Plausibility.ABSURD
    }


def test_a_mains_voltage_in_the_wrong_order_is_absurd() -> None:
    """230.4 is 4366 6666; taken with the low word first it is 2.7e23."""
    readings = every_reading(between(180, 260), [0x4366, 0x6666])

    other = named(readings, "float 32, low word first")
    assert isinstance(other.value, NumberValue)
    assert float(other.value.value) == pytest.approx(2.72e23, rel=0.01)
    assert (other.plausibility, other.why) == (Plausibility.ABSURD, "an exponent that no measured value has")
    assert fitting(readings) == ["float 32, high word first"]


def test_minus_ten_degrees_is_signed() -> None:
    """65436 instead of -10.0."""
    readings = every_reading(between(-40, 80, "0.1"), [65436])

    assert named(readings, "signed 16").plausibility is Plausibility.FITS
    assert named(readings, "unsigned 16").plausibility is Plausibility.UNLIKELY


def test_without_a_range_a_float_of_few_digits_stands_out() -> None:
    """21.4 is 41AB 3333."""
    readings = every_reading(NO_RANGE, [0x41AB, 0x3333])

    assert readings[0].words == "float 32, high word first"
    assert readings[0].why == "a float of few digits"


def test_a_count_in_the_wrong_word_order_ends_in_a_word_of_zero() -> None:
    readings = every_reading(NO_RANGE, [0x0000, 0x0064])

    assert named(readings, "unsigned 32, high word first").plausibility is Plausibility.POSSIBLE
    assert named(readings, "unsigned 32, low word first").plausibility is Plausibility.UNLIKELY


def test_texts_and_times_are_among_them() -> None:
    """'Example ' in ASCII; 0x65920080 is 2024-01-01 00:00:00 UTC."""
    text = every_reading(NO_RANGE, list(struct.unpack(">4H", b"Example ")))
    time = every_reading(NO_RANGE, [0x6592, 0x0080])

    assert (text[0].value, text[0].plausibility) == (TextValue("Example"), Plausibility.FITS)
    seen = named(time, "seconds since 1970, high word first")
    assert (seen.value, seen.plausibility) == (TimeValue(1704067200), Plausibility.POSSIBLE)


def test_digits_above_nine_are_no_bcd() -> None:
    readings = every_reading(NO_RANGE, [0x12A4])

    assert named(readings, "BCD 16").plausibility is Plausibility.ABSURD


def test_a_code_for_no_value_is_possible_in_its_width_only() -> None:
    point = Point("seen", Table.INPUT_REGISTERS, 9, INT16, sentinels=(0x8000,))

    readings = every_reading(point, [0x8000, 0x0000])

    assert named(readings, "signed 16").why == "a code for 'no value'"
    assert named(readings, "unsigned 32, high word first").why != "a code for 'no value'"


def test_signed_stands_only_where_it_differs() -> None:
    assert [one.value_type for one in every_reading(NO_RANGE, [215]) if one.value_type == INT16] == []
    assert UINT16 in [one.value_type for one in every_reading(NO_RANGE, [215])]


@given(st.lists(st.integers(0, 0xFFFF), max_size=6))
def test_any_words_have_readings_that_are_told_apart(words: list[int]) -> None:
    readings = every_reading(NO_RANGE, words)

    assert len({(one.value_type) for one in readings}) == len(readings)
    order = list(Plausibility)
    ranks = [order.index(one.plausibility) for one in readings]
    assert ranks == sorted(ranks)
    assert all(one.value_type.words <= len(words) for one in readings)


@given(st.floats(-1000, 1000, width=32), st.sampled_from(["high", "low"]))
def test_the_truth_is_never_called_absurd(number: float, order: str) -> None:
    """A value inside its range fits, whatever its digits."""
    words = list(struct.unpack(">2H", struct.pack(">f", number)))
    name = f"float 32, {order} word first"

    readings = every_reading(between(-1000, 1000), words if order == "high" else words[::-1])

    is_tiny = number and abs(number) < 1e-6
    assert is_tiny or named(readings, name).plausibility is Plausibility.FITS


def test_a_type_of_four_words_needs_four() -> None:
    layouts = {(one.value_type.layout, one.value_type.bits) for one in every_reading(NO_RANGE, [1, 2, 3])}

    assert (Layout.UNSIGNED, 48) in layouts
    assert (Layout.UNSIGNED, 64) not in layouts
    assert ValueType(Layout.TEXT, 48).words == 3
