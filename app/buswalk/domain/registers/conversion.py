"""From words to the value of a point and back, in decimal arithmetic: 214 at a scale of 0.1 is 21.4 and nothing else.

Checking a value against the range of the list is for those who write; here only what the type can hold counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Context, Decimal, InvalidOperation
from enum import Enum

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.raw_numbers import DoesNotFit, number_of, pattern_of_number, whole_limits
from buswalk.domain.registers.value import BitValue, NoValue, NumberValue, TextValue, TimeValue, Value, WhyNoValue
from buswalk.domain.registers.value_type import Layout, ValueType
from buswalk.domain.registers.word_patterns import pattern_of, words_of

DIGITS_KEPT = 80
"""Of sums and products; a value of 64 bits has 20, so that all but astronomic floats stay exact."""
_ARITHMETIC = Context(prec=DIGITS_KEPT)
_SPELLED_BITS = {"on": True, "off": False, "1": True, "0": False}


class WhyNotRepresentable(Enum):
    """Why no words hold a value."""

    WRONG_KIND = "it is of another kind than the point"
    OUT_OF_TYPE = "the type cannot hold it"
    BETWEEN_STEPS = "it lies between two values of the type"
    MEANS_NO_VALUE = "its words are those that mean no value"


class NotRepresentable(Exception):
    """A value that cannot be put into the words of a point.

    Attributes:
        sentence: What cannot be, and what could.
    """

    def __init__(self, why: WhyNotRepresentable, sentence: str) -> None:
        super().__init__(sentence)
        self.why = why
        self.sentence = sentence


def raw_of(value_type: ValueType, words: Sequence[int]) -> Decimal | NoValue:
    """Return the number before scaling that words in wire order mean.

    Raises:
        ValueError: Not as many words as the type has, or the type is a text.
    """
    return number_of(value_type, pattern_of(value_type, words))


def value_of(point: Point, words: Sequence[int]) -> Value:
    """Return what the words of a point say.

    Args:
        words: One entry a register in wire order, or one bit as 0 or 1.

    Raises:
        ValueError: Not as many words as the point has.
    """
    pattern = pattern_of(point.value_type, words)
    if pattern in point.sentinels:
        return NoValue(WhyNoValue.SENTINEL)
    if point.value_type.layout is Layout.TEXT:
        return TextValue(_text(pattern, point.value_type))
    raw = number_of(point.value_type, pattern)
    if isinstance(raw, NoValue):
        return raw
    if point.value_type.layout is Layout.BIT:
        return BitValue(bool(raw), _named(point, raw))
    scaled = _ARITHMETIC.add(_ARITHMETIC.multiply(raw, point.scale), point.offset)
    if point.value_type.layout is Layout.TIME:
        return TimeValue(int(scaled.to_integral_value(ROUND_FLOOR)))
    return NumberValue(scaled, raw, _named(point, raw))


def words_for(point: Point, value: Decimal | str | bool) -> tuple[int, ...]:
    """Return the words in wire order that hold a value; of an enumeration also by its words.

    A value is taken only if it is met within half of its last digit: 21.45 is refused where steps are 0.1, and
    21.4 is taken by a float.

    Raises:
        NotRepresentable: No words hold it.
    """
    if point.value_type.layout is Layout.TEXT:
        pattern = _pattern_of_text(point.value_type, value)
    else:
        raw = _raw_number(point, value)
        try:
            pattern = pattern_of_number(point.value_type, raw)
        except DoesNotFit as reason:
            raise _out_of_type(point, value) from reason
    if pattern in point.sentinels:
        sentence = f"{_said(value)} would be sent as the code that means 'no value': choose another value"
        raise NotRepresentable(WhyNotRepresentable.MEANS_NO_VALUE, sentence)
    words = words_of(point.value_type, pattern)
    if point.value_type.layout is Layout.FLOAT:
        _check_met(value, value_of(point, words))
    return words


def _raw_number(point: Point, value: Decimal | str | bool) -> Decimal:
    """Return the raw number: whole for all types but floats."""
    if isinstance(value, str):
        for one in point.named:
            if one.words.casefold() == value.strip().casefold():
                return Decimal(one.raw)
    if point.value_type.layout is Layout.BIT:
        return Decimal(int(_bit(value)))
    number = _number(point, value)
    raw = _ARITHMETIC.divide(_ARITHMETIC.subtract(number, point.offset), point.scale)
    if point.value_type.layout is Layout.FLOAT:
        return raw
    nearest = raw.to_integral_value(ROUND_HALF_EVEN, _ARITHMETIC)
    if abs(_scaled(point, nearest) - number) > _half_of_last_digit(number):
        sides = sorted(_scaled(point, raw.to_integral_value(one, _ARITHMETIC)) for one in (ROUND_FLOOR, ROUND_CEILING))
        sentence = f"{_said(number)} lies between two steps: write {_said(sides[0])} or {_said(sides[1])}"
        raise NotRepresentable(WhyNotRepresentable.BETWEEN_STEPS, sentence)
    return nearest


def _check_met(value: Decimal | str | bool, kept: Value) -> None:
    """Refuse a float that lands beside what was written: 16777217 has no 32 bits of its own."""
    if not isinstance(kept, NumberValue) or isinstance(value, bool):
        return
    try:
        number = Decimal(value)
    except InvalidOperation:
        return
    if abs(kept.value - number) > _half_of_last_digit(number):
        sentence = f"{_said(number)} has no float of its own: the nearest is {_said(kept.value)}"
        raise NotRepresentable(WhyNotRepresentable.BETWEEN_STEPS, sentence)


def _number(point: Point, value: Decimal | str | bool) -> Decimal:
    if isinstance(value, bool):
        raise NotRepresentable(WhyNotRepresentable.WRONG_KIND, f"{point.name} is a number, not on or off")
    try:
        number = Decimal(value)
    except InvalidOperation:
        number = Decimal("nan")
    if not number.is_finite():
        known = ", ".join(one.words for one in point.named)
        hint = f"a number or one of: {known}" if known else "a number, with a point for its decimals"
        raise NotRepresentable(WhyNotRepresentable.WRONG_KIND, f"{value!s} is no value of {point.name}: write {hint}")
    return number


def _bit(value: Decimal | str | bool) -> bool:
    if isinstance(value, bool):
        return value
    spelled = _SPELLED_BITS.get(str(value).strip().casefold())
    if spelled is None:
        raise NotRepresentable(WhyNotRepresentable.WRONG_KIND, f"{value!s} is no state of a bit: write on or off")
    return spelled


def _out_of_type(point: Point, value: Decimal | str | bool) -> NotRepresentable:
    if point.value_type.layout is Layout.FLOAT:
        sentence = f"{_said(value)} is more than a float of {point.value_type.bits} bits can hold"
    else:
        ends = sorted(_scaled(point, Decimal(end)) for end in whole_limits(point.value_type))
        sentence = f"{_said(value)} does not fit: this type holds {_said(ends[0])} to {_said(ends[1])}"
    return NotRepresentable(WhyNotRepresentable.OUT_OF_TYPE, sentence)


def _scaled(point: Point, raw: Decimal) -> Decimal:
    return _ARITHMETIC.add(_ARITHMETIC.multiply(raw, point.scale), point.offset)


def _half_of_last_digit(number: Decimal) -> Decimal:
    exponent = number.as_tuple().exponent
    assert isinstance(exponent, int)
    return Decimal(5).scaleb(min(exponent, 0) - 1)


def _named(point: Point, raw: Decimal) -> str:
    return next((one.words for one in point.named if one.raw == raw), "")


def _text(pattern: int, value_type: ValueType) -> str:
    """Return the characters before the first zero: as UTF-8 if it is that, else one character a byte."""
    data = pattern.to_bytes(value_type.bits // 8, "big").partition(b"\0")[0].rstrip(b" ")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _pattern_of_text(value_type: ValueType, value: Decimal | str | bool) -> int:
    if not isinstance(value, str):
        raise NotRepresentable(WhyNotRepresentable.WRONG_KIND, f"{value} is no text")
    if not (value.isascii() and value.isprintable()):
        sentence = f"{value!r} has signs that are no plain letters: devices do not agree how to write them"
        raise NotRepresentable(WhyNotRepresentable.WRONG_KIND, sentence)
    room = value_type.bits // 8
    if len(value) > room:
        sentence = f"{value!r} has {len(value)} characters, there is room for {room}"
        raise NotRepresentable(WhyNotRepresentable.OUT_OF_TYPE, sentence)
    return int.from_bytes(value.encode("ascii").ljust(room, b"\0"), "big")


def _said(value: Decimal | str | bool) -> str:
    if isinstance(value, Decimal):
        return f"{value:f}" if value.adjusted() <= DIGITS_KEPT else str(value)
    return str(value)
