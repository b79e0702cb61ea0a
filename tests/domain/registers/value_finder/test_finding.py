"""Looks at a display narrow down which registers mean it."""

from __future__ import annotations

import struct
from decimal import Decimal

import numpy as np
import pytest

from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_finder.finding import Look, TableWords, ValueFinder
from buswalk.domain.registers.value_finder.meaning import Candidate, Meaning, Scaling
from buswalk.domain.registers.value_finder.readings import raw_numbers, searched_types
from buswalk.domain.registers.value_finder.shown import shown
from buswalk.domain.registers.value_type import ByteOrder, Layout, ValueType, WordOrder

INPUTS = Table.INPUT_REGISTERS


def found(*looks: tuple[str, tuple[int, ...]]) -> tuple[Candidate, ...]:
    finder = ValueFinder()
    for text, words in looks:
        finder.take(Look(shown(text), (TableWords(INPUTS, 100, words),)))
    return finder.candidates


def test_one_look_finds_the_place_among_others() -> None:
    first, *_ = found(("21.4", (7, 0, 214, 65535, 300)))

    assert first.meanings[0] == Meaning(INPUTS, 102, ValueType(Layout.UNSIGNED, 16), Scaling(Decimal("0.1")))


def test_a_second_look_after_a_change_leaves_what_moved_along() -> None:
    """Two registers hold 214 at first; only one follows the display."""
    both = found(("21.4", (214, 214)))
    one = found(("21.4", (214, 214)), ("23.0", (214, 230)))

    assert {meaning.register_address for candidate in both for meaning in candidate.meanings} == {100, 101}
    assert {meaning.register_address for candidate in one for meaning in candidate.meanings} == {101}


def test_what_comes_to_the_same_is_one_candidate() -> None:
    """While the value is positive and small nothing tells int from uint, or a second empty word from none."""
    (candidate,) = found(("21.4", (0, 214)), ("23.0", (0, 230)))

    types = {(one.value_type.layout, one.value_type.bits) for one in candidate.meanings}
    assert {(Layout.UNSIGNED, 16), (Layout.SIGNED, 16), (Layout.UNSIGNED, 32)} <= types
    assert candidate.meanings[0].value_type == ValueType(Layout.UNSIGNED, 16)


def test_below_zero_only_the_signed_type_is_left() -> None:
    (candidate,) = found(("1.4", (14, 500)), ("-2.0", (0xFFEC, 500)))

    assert [one.value_type for one in candidate.meanings] == [ValueType(Layout.SIGNED, 16)]


def test_a_float_in_any_order_is_found() -> None:
    """21.4 as IEEE 754 single, low word first with its bytes exchanged, packed by struct."""
    high, low = struct.unpack(">HH", struct.pack(">f", 21.4))
    swapped = tuple(int.from_bytes(one.to_bytes(2, "little"), "big") for one in (low, high))

    first, *_ = found(("21.4", (3, *swapped, 9)))

    expected = ValueType(Layout.FLOAT, 32, WordOrder.LOW_FIRST, ByteOrder.EXCHANGED)
    assert (first.meanings[0].register_address, first.meanings[0].value_type) == (101, expected)


def test_a_register_of_whole_degrees_may_be_shown_in_tenths() -> None:
    """The display knows more than the register: 21 beside 21.4."""
    first, *_ = found(("21.4", (7, 21, 900)), ("25.8", (7, 26, 900)))

    assert first.meanings[0].scaling == Scaling(Decimal(1))


def test_a_display_that_cuts_instead_of_rounding_loses_nothing() -> None:
    first, *_ = found(("21.4", (2149,)), ("30.1", (3019,)))

    assert first.meanings[0].scaling == Scaling(Decimal("0.01"))


@pytest.mark.parametrize("text", ["", "21.4.1", "1 234", "warm", "1'000"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no number as a display shows it"):
        shown(text)


@pytest.mark.parametrize("value_type", searched_types(), ids=str)
def test_numbers_of_every_type_agree_with_struct(value_type: ValueType) -> None:
    """Python's struct packs the value (or the digits are written out); the words are put in order by hand."""
    layout, bits = value_type.layout, value_type.bits
    value, data = _packed(layout, bits)
    words = [int.from_bytes(data[at : at + 2], "big") for at in range(0, len(data), 2)]
    if value_type.word_order is WordOrder.LOW_FIRST:
        words.reverse()
    if value_type.byte_order is ByteOrder.EXCHANGED:
        words = [int.from_bytes(one.to_bytes(2, "big"), "little") for one in words]

    numbers = raw_numbers(np.array([*words, 0xFFFF], dtype=np.uint16), value_type)

    assert numbers[0] == pytest.approx(value, rel=1e-3 if bits == 16 and layout is Layout.FLOAT else 1e-6)


def _packed(layout: Layout, bits: int) -> tuple[float, bytes]:
    match layout:
        case Layout.FLOAT:
            return -21.4, struct.pack({16: ">e", 32: ">f", 64: ">d"}[bits], -21.4)
        case Layout.BCD:
            return 2140, bytes.fromhex("2140".rjust(bits // 4, "0"))
        case Layout.SIGN_MAGNITUDE:
            return -214, (214 | 1 << (bits - 1)).to_bytes(bits // 8, "big")
        case Layout.SIGNED:
            return -214, struct.pack(">q", -214)[-bits // 8 :]
        case _:
            return 40214, struct.pack(">Q", 40214)[-bits // 8 :]
