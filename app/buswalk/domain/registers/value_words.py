"""A value in words, with its unit: for commands, pages and print alike."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from decimal import ROUND_HALF_EVEN, Decimal

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import BitField, Point
from buswalk.domain.registers.value import BitValue, NoValue, NumberValue, TextValue, TimeValue, Value, WhyNoValue
from buswalk.domain.registers.value_type import Layout
from buswalk.domain.registers.word_patterns import pattern_of

LATEST_S = 253_402_300_799
"""The last second of the year 9999."""
SHORTEST_PLAIN = Decimal("0.0001")
DIGITS_OF_FLOATS = 7
LARGEST_WITH_DECIMALS = 10**15
"""Above, a float read in a wrong order would be a wall of digits."""


def value_words(point: Point, value: Value, words: Sequence[int]) -> str:
    """Return what a value says: `21.4 °C`, `on`, `2 = cooling`, `no value (0x8000)`."""
    match value:
        case NumberValue(value=number, named=named):
            if named:
                return f"{_plain(number)} = {named}"
            shown = number_words(point, number)
            return f"{shown} {point.unit}" if point.unit else shown
        case BitValue(is_on, named):
            return named or ("on" if is_on else "off")
        case TextValue(text):
            return f"'{text}'"
        case TimeValue(seconds):
            return time_words(seconds)
        case NoValue(why):
            return f"no value ({hex_words(words)}{_why(why)})"


def number_words(point: Point, number: Decimal) -> str:
    """Return a number with the digits that its point has; a float of which none are said with seven."""
    if (point.decimals or point.is_shown_whole) and abs(number) < LARGEST_WITH_DECIMALS:
        return f"{number.quantize(Decimal(1).scaleb(-point.decimals), ROUND_HALF_EVEN) + 0:f}"
    if point.value_type.layout is not Layout.FLOAT:
        return _plain(number)
    is_odd = number != 0 and not SHORTEST_PLAIN <= abs(number) < 10**DIGITS_OF_FLOATS
    return f"{float(number):.4e}" if is_odd else f"{float(number):.{DIGITS_OF_FLOATS}g}"


def hex_words(words: Sequence[int]) -> str:
    """Return words in wire order as hex: 0x8000, or 0x41AB 3333."""
    return "0x" + " ".join(f"{one:04X}" for one in words)


def time_words(seconds: int) -> str:
    """Return a time stamp in UTC; beyond the year 9999 the seconds themselves."""
    if not 0 <= seconds <= LATEST_S:
        return f"{seconds} s since 1970"
    return f"{datetime.fromtimestamp(seconds, UTC):%Y-%m-%d %H:%M:%S} UTC"


def bits_in_words(point: Point, words: Sequence[int]) -> tuple[str, ...]:
    """Return each bit field of a point with what it says: `frost alarm: on`."""
    if not point.bit_fields:
        return ()
    pattern = pattern_of(point.value_type, words)
    return tuple(f"{field.name}: {_field_words(field, pattern)}" for field in point.bit_fields)


def read_words(point: Point, words: Sequence[int]) -> str:
    """Return what the words of a point say."""
    return value_words(point, value_of(point, words), words)


def _field_words(field: BitField, pattern: int) -> str:
    raw = (pattern >> field.first_bit) & ((1 << field.width) - 1)
    named = next((one.words for one in field.named if one.raw == raw), "")
    if named:
        return named
    return ("on" if raw else "off") if field.width == 1 else str(raw)


def _plain(number: Decimal) -> str:
    return f"{number.normalize() + 0:f}"


def _why(why: WhyNoValue) -> str:
    return "" if why is WhyNoValue.SENTINEL else f": {why.value}"
