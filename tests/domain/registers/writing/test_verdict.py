"""Verdicts of read-backs, against a table written by hand. The words are those of practice; no standard names them."""

from __future__ import annotations

import struct
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.point import Access, Between, Point
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import INT16, Layout, ValueType
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace
from buswalk.domain.registers.writing.verdict import Verdict, verdict_of

N81 = SerialSettings.of(9600, "8N1")
PLAIN = Point("level", Table.HOLDING_REGISTERS, 0, INT16, access=Access.READ_WRITE)
FLOAT = replace(PLAIN, value_type=ValueType(Layout.FLOAT, 32), decimals=1)
WORDS = st.integers(0, 0x7FFF)


def to(point: Point, *words: int) -> IntendedWrite:
    return IntendedWrite(37, N81, KnownPlace(point), words)


def float_words(value: float) -> tuple[int, int]:
    """High word first, by the struct module."""
    high, low = struct.unpack(">HH", struct.pack(">f", value))
    return high, low


@pytest.mark.parametrize(
    ("old", "new", "looks", "verdict"),
    [
        (20, 21, [21], Verdict.HELD),
        (20, 21, [20], Verdict.IGNORED),
        (20, 21, [20, 21], Verdict.HELD),
        (20, 21, [21, 20], Verdict.FELL_BACK),
        (20, 21, [21, 0], Verdict.FELL_BACK),
        (20, 90, [50], Verdict.CLIPPED),
        (20, 90, [50, 20], Verdict.FELL_BACK),
        (20, 90, [20, 50], Verdict.CLIPPED),
        (90, 20, [50], Verdict.CLIPPED),
        (20, 21, [7], Verdict.OTHER_VALUE),
        (20, 20, [20], Verdict.NO_DIFFERENCE),
        (20, 21, [None], Verdict.NOT_READ),
        (20, 21, [21, None], Verdict.HELD),
        (20, 21, [None, 20], Verdict.IGNORED),
        (None, 21, [21], Verdict.HELD),
        (None, 21, [20], Verdict.OTHER_VALUE),
    ],
)
def test_each_series_of_looks_has_its_verdict(
    old: int | None, new: int, looks: list[int | None], verdict: Verdict
) -> None:
    before = () if old is None else (old,)

    assert verdict_of(to(PLAIN, new), before, [() if one is None else (one,) for one in looks]) is verdict


def test_a_value_at_the_end_of_the_range_is_clipped_also_where_the_old_one_is_not_known() -> None:
    limited = replace(PLAIN, range=Between(Decimal(0), Decimal(100)))

    assert verdict_of(to(limited, 120), (), [(100,)]) is Verdict.CLIPPED


def test_a_negative_value_is_compared_as_a_number_and_not_as_a_word() -> None:
    """-10 is FFF6: as a word it is far above 20, as a number 0 lies between them."""
    assert verdict_of(to(PLAIN, 0xFFF6), (20,), [(0,)]) is Verdict.CLIPPED


@pytest.mark.parametrize(
    ("read", "verdict"),
    [
        (21.5, Verdict.HELD),
        (21.499, Verdict.HELD),
        (21.54, Verdict.HELD),
        (21.4, Verdict.CLIPPED),
        (30.0, Verdict.OTHER_VALUE),
    ],
)
def test_a_float_holds_within_half_of_its_last_digit(read: float, verdict: Verdict) -> None:
    """A device that keeps tenths shows 21.499 where 21.5 was written: one decimal is all that it has."""
    assert verdict_of(to(FLOAT, *float_words(21.5)), float_words(20.0), [float_words(read)]) is verdict


def test_whole_numbers_hold_exactly_however_few_digits_are_shown() -> None:
    tenths = replace(PLAIN, scale=Decimal("0.1"), decimals=0)

    assert verdict_of(to(tenths, 215), (200,), [(214,)]) is Verdict.CLIPPED


def test_several_raw_words_are_compared_as_they_are() -> None:
    raw = IntendedWrite(37, N81, RawPlace(Table.HOLDING_REGISTERS, 0, 2), (1, 2))

    assert verdict_of(raw, (0, 0), [(0, 1)]) is Verdict.OTHER_VALUE


@given(old=WORDS, new=WORDS, read=WORDS)
def test_one_look_says_what_the_definitions_say(old: int, new: int, read: int) -> None:
    verdict = verdict_of(to(PLAIN, new), (old,), [(read,)])

    if read == new:
        assert verdict is (Verdict.NO_DIFFERENCE if old == new else Verdict.HELD)
    elif read == old:
        assert verdict is Verdict.IGNORED
    else:
        assert verdict is (Verdict.CLIPPED if read in range(min(old, new), max(old, new)) else Verdict.OTHER_VALUE)


@given(old=WORDS, new=WORDS, looks=st.lists(WORDS, min_size=1, max_size=4))
def test_what_stood_there_once_and_stands_no_more_has_fallen_back(old: int, new: int, looks: list[int]) -> None:
    verdict = verdict_of(to(PLAIN, new), (old,), [(one,) for one in (new, *looks)])

    assert (verdict is Verdict.FELL_BACK) == (looks[-1] != new)
