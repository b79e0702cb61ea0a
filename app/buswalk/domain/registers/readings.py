"""Every reading of given words side by side, each with how plausible it is: the list's type may be wrong.

What values do over time, and which register is meant, is for the value finder; here only the words of one look count.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import Enum

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import Between, Point
from buswalk.domain.registers.type_names import NAMED_TYPES, type_words
from buswalk.domain.registers.value import NoValue, NumberValue, TextValue, TimeValue, Value, WhyNoValue
from buswalk.domain.registers.value_type import BITS_OF_A_WORD, ByteOrder, Layout, ValueType, WordOrder
from buswalk.domain.registers.word_patterns import pattern_of

LONGEST_READ_WORDS = 4
"""No number is longer."""
FAR_OUTSIDE = 1000
"""Times the reach of the range: no device that is only out of range is so far off."""
USUAL_FLOATS = (Decimal("0.001"), Decimal(10_000_000))
THINKABLE_FLOATS = (Decimal("0.000001"), Decimal(1_000_000_000_000))
LARGE_COUNT = 1_000_000_000
FEW_DIGITS = 5
"""A float of so few digits was meant: among patterns of 32 bits at random about one in 5000 has as few, by count of
them between a thousandth and ten million."""
SHORTEST_NAME = 3
EARLIEST_S, LATEST_S = 946_684_800, 2_524_608_000
"""2000-01-01 and 2050-01-01: what clocks of devices show."""


class Plausibility(Enum):
    """How well a reading agrees with what is expected; best first."""

    FITS = "fits"
    POSSIBLE = "possible"
    UNLIKELY = "unlikely"
    ABSURD = "absurd"


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the words.

    Attributes:
        words: The type as people say it: 'float 32, high word first, bytes exchanged'.
        why: What speaks for the verdict, in a few words.
    """

    value_type: ValueType
    value: Value
    plausibility: Plausibility
    words: str
    why: str


def every_reading(point: Point, words: Sequence[int]) -> tuple[Reading, ...]:
    """Return all readings of words from the point's register on, the most plausible first.

    Scale, offset, unit and range are those of the point. Signed readings stand only where they differ from unsigned.

    Args:
        words: One entry a register in wire order; types that need more are left out. Beyond four all are one text.
    """
    readings = [_reading(point, one, words[: one.words]) for one in _types(words)]
    if words:
        text_words = list(words)[: point.value_type.words if point.value_type.layout is Layout.TEXT else len(words)]
        for order in ByteOrder:
            text = ValueType(Layout.TEXT, BITS_OF_A_WORD * len(text_words), byte_order=order)
            readings.append(_reading(point, text, text_words))
    ranks = list(Plausibility)
    return tuple(
        sorted(
            readings,
            # The list's own type first, then what explains most of the words.
            key=lambda one: (ranks.index(one.plausibility), one.value_type != point.value_type, -one.value_type.words),
        )
    )


def _types(words: Sequence[int]) -> Iterator[ValueType]:
    for layout, bits in NAMED_TYPES.values():
        if layout is Layout.BIT or bits // BITS_OF_A_WORD > min(len(words), LONGEST_READ_WORDS):
            continue
        for byte_order in ByteOrder:
            for word_order in WordOrder if bits > BITS_OF_A_WORD else (WordOrder.HIGH_FIRST,):
                value_type = ValueType(layout, bits, word_order, byte_order)
                is_minus = pattern_of(value_type, words[: value_type.words]) >> bits - 1
                if is_minus or layout not in (Layout.SIGNED, Layout.SIGN_MAGNITUDE):
                    yield value_type


def _reading(point: Point, value_type: ValueType, words: Sequence[int]) -> Reading:
    # Names and bits belong to the type of the list; a sentinel only to its width.
    sentinels = point.sentinels if value_type.bits == point.value_type.bits else ()
    is_text = value_type.layout is Layout.TEXT
    other = replace(
        point,
        register_address=0,
        value_type=value_type,
        named=(),
        bit_fields=(),
        sentinels=() if is_text else sentinels,
        scale=Decimal(1) if value_type.layout is Layout.TIME else point.scale,
        offset=Decimal(0) if value_type.layout is Layout.TIME else point.offset,
    )
    value = value_of(other, words)
    plausibility, why = _verdict(other, value, pattern_of(value_type, words))
    return Reading(value_type, value, plausibility, type_words(value_type), why)


def _verdict(point: Point, value: Value, pattern: int) -> tuple[Plausibility, str]:
    match value:
        case NoValue(WhyNoValue.SENTINEL):
            return Plausibility.POSSIBLE, "a code for 'no value'"
        case NoValue(WhyNoValue.NOT_DECIMAL):
            return Plausibility.ABSURD, "a digit above 9"
        case NoValue():
            return Plausibility.UNLIKELY, "no number"
        case TextValue() if isinstance(point.range, Between):
            return Plausibility.UNLIKELY, "a number is expected"
        case TextValue(text):
            return _of_text(text)
        case TimeValue(seconds):
            return _of_time(seconds, is_number_expected=isinstance(point.range, Between))
        case NumberValue():
            return _of_number(point, value, pattern)
        case _:
            raise AssertionError("words are no bits")


def _of_number(point: Point, value: NumberValue, pattern: int) -> tuple[Plausibility, str]:
    between = point.range
    is_float = point.value_type.layout is Layout.FLOAT
    if is_float and value.raw and not THINKABLE_FLOATS[0] <= abs(value.raw) <= THINKABLE_FLOATS[1]:
        return Plausibility.ABSURD, "an exponent that no measured value has"
    if isinstance(between, Between):
        if between.low <= value.value <= between.high and is_float and point.value_type.bits == BITS_OF_A_WORD:
            return Plausibility.POSSIBLE, "inside the range, but few devices have floats of 16 bits"
        if between.low <= value.value <= between.high:
            return Plausibility.FITS, "inside the range"
        reach = max(abs(between.low), abs(between.high))
        if abs(value.value) > FAR_OUTSIDE * reach:
            return Plausibility.ABSURD, "far outside of the range"
        return Plausibility.UNLIKELY, "outside of the range"
    return _of_float(point.value_type, value.raw) if is_float else _of_whole(point.value_type, value.raw, pattern)


def _of_float(value_type: ValueType, raw: Decimal) -> tuple[Plausibility, str]:
    if raw and not USUAL_FLOATS[0] <= abs(raw) <= USUAL_FLOATS[1]:
        return Plausibility.UNLIKELY, "an unusual size"
    if raw and value_type.bits > BITS_OF_A_WORD and len(raw.normalize().as_tuple().digits) <= FEW_DIGITS:
        return Plausibility.FITS, "a float of few digits"
    return Plausibility.POSSIBLE, "a usual size"


def _of_whole(value_type: ValueType, raw: Decimal, pattern: int) -> tuple[Plausibility, str]:
    if value_type.words > 1 and pattern and not pattern & 0xFFFF:
        return Plausibility.UNLIKELY, "its low word is 0: rather the other word order"
    if abs(raw) >= LARGE_COUNT**2:
        return Plausibility.ABSURD, "a size that no count has"
    if abs(raw) >= LARGE_COUNT:
        return Plausibility.UNLIKELY, "a very large count"
    return Plausibility.POSSIBLE, "a usual size"


def _of_text(text: str) -> tuple[Plausibility, str]:
    if not text:
        return Plausibility.UNLIKELY, "empty"
    if not (text.isascii() and text.isprintable()):
        return Plausibility.ABSURD, "signs that are no letters"
    if len(text) >= SHORTEST_NAME:
        return Plausibility.FITS, "plain letters"
    return Plausibility.POSSIBLE, "plain letters, but few"


def _of_time(seconds: int, *, is_number_expected: bool) -> tuple[Plausibility, str]:
    if not EARLIEST_S <= seconds < LATEST_S:
        return Plausibility.ABSURD, "no year from 2000 to 2049"
    if is_number_expected:
        return Plausibility.UNLIKELY, "a number is expected"
    return Plausibility.POSSIBLE, "a date from 2000 to 2049"
