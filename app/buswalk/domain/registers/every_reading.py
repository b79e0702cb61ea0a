"""Every way to read some words: each type in each order, with a verdict by what the list says of the point.

The verdicts are judgement, no source: a reading that fits is not thereby the right one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import Enum

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import AnyValue, Between, Point
from buswalk.domain.registers.value import BitValue, NoValue, NumberValue, TextValue, TimeValue, Value
from buswalk.domain.registers.value_type import ByteOrder, Layout, ValueType, WordOrder

NUMERIC = (
    Layout.FLOAT,
    Layout.UNSIGNED,
    Layout.SIGNED,
    Layout.BCD,
    Layout.SIGN_MAGNITUDE,
)
WIDTHS = {
    1: {Layout.UNSIGNED: 16, Layout.SIGNED: 16, Layout.BCD: 16, Layout.SIGN_MAGNITUDE: 16, Layout.FLOAT: 16},
    2: {Layout.FLOAT: 32, Layout.UNSIGNED: 32, Layout.SIGNED: 32, Layout.BCD: 32, Layout.SIGN_MAGNITUDE: 32},
    3: {Layout.UNSIGNED: 48, Layout.SIGNED: 48, Layout.BCD: 48, Layout.SIGN_MAGNITUDE: 48},
    4: {Layout.FLOAT: 64, Layout.UNSIGNED: 64, Layout.SIGNED: 64, Layout.BCD: 64, Layout.SIGN_MAGNITUDE: 64},
}
TINIEST_LIKELY = Decimal("1e-4")
LARGEST_LIKELY = Decimal("1e9")
LARGEST_OF_MEASURES = Decimal("1e6")
FIRST_YEAR_S, LAST_YEAR_S = 946_684_800, 4_102_444_800
"""2000 and 2100: clocks of plant stand between."""


class Verdict(Enum):
    """How a reading goes with what is known."""

    FITS = "fits"
    POSSIBLE = "possible"
    UNLIKELY = "unlikely"
    ABSURD = "absurd"


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read.

    Attributes:
        point: The point as it would be described if this were right.
        words: Those of it that are read.
        first_word: Which of the words it begins at.
        is_listed: What the list says itself.
    """

    point: Point
    words: tuple[int, ...]
    first_word: int
    value: Value
    verdict: Verdict
    is_listed: bool = False


def every_reading(point: Point, words: Sequence[int], behind: Sequence[int] = ()) -> tuple[Reading, ...]:
    """Return the readings of a point's words, its own first.

    Args:
        behind: Words that stand right behind it, as far as they are known; a single word is read together with them.
    """
    words = tuple(words)
    if point.value_type.layout is Layout.BIT:
        return (_reading(point, point, words, 0, is_listed=True),)
    readings = [_reading(point, point, words, 0, is_listed=True)]
    for scale in _scales(point):
        readings += [_reading(point, _as(point, one, scale), words, 0) for one in _types(len(words))]
    if len(words) > 1 and point.value_type.layout is not Layout.TEXT:
        for place, word in enumerate(words):
            for layout in (Layout.SIGNED, Layout.UNSIGNED):
                single = _as(point, ValueType(layout, 16), Decimal(1))
                readings.append(_reading(point, single, (word,), place))
    elif behind:
        both = (words[0], behind[0])
        readings += [_reading(point, _as(point, one, Decimal(1)), both, 0) for one in _types(2)]
    readings += _texts(point, words)
    return _best_first(_each_once(readings))


def _types(count: int) -> list[ValueType]:
    """Return the types of so many words; the exchanged one right under its order."""
    found = []
    for layout, bits in WIDTHS.get(count, {}).items():
        for order in WordOrder if count > 1 else (WordOrder.HIGH_FIRST,):
            found += [ValueType(layout, bits, order, one) for one in ByteOrder]
    if count == 2:
        found += [ValueType(Layout.TIME, 32, order) for order in WordOrder]
    return found


def _scales(point: Point) -> tuple[Decimal, ...]:
    return (point.scale, Decimal(1)) if point.scale != 1 else (Decimal(1),)


def _as(point: Point, value_type: ValueType, scale: Decimal) -> Point:
    """Return the point as another type; a float carries its scale in itself, a plain number has no decimals."""
    is_scaled = scale == point.scale and Layout.FLOAT not in (value_type.layout, point.value_type.layout)
    is_scaled = is_scaled and value_type.layout is not Layout.TIME
    used, offset = (point.scale, point.offset) if is_scaled else (Decimal(1), Decimal(0))
    is_measure = value_type.layout is Layout.FLOAT or is_scaled
    decimals, unit = (point.decimals if is_scaled else 0), (point.unit if is_measure else "")
    return replace(
        point,
        value_type=value_type,
        scale=used,
        offset=offset,
        decimals=decimals,
        is_shown_whole=point.is_shown_whole and is_scaled,
        unit=unit,
        sentinels=(),
        named=(),
        bit_fields=(),
        register_address=min(point.register_address, 0xFFFF - value_type.words + 1),
    )


def _texts(point: Point, words: tuple[int, ...]) -> list[Reading]:
    """Return the words as characters, where all are."""
    found = []
    for order in ByteOrder:
        as_text = _as(point, ValueType(Layout.TEXT, 16 * len(words), WordOrder.HIGH_FIRST, order), Decimal(1))
        reading = _reading(point, as_text, words, 0)
        if isinstance(reading.value, TextValue) and len(reading.value.text) > 1 and reading.value.text.isprintable():
            found.append(reading)
    return found


def _best_first(readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Put the listed one first, then by verdict; the exchanged one stays right under its order."""
    pairs: dict[object, list[Reading]] = {}
    for one in readings:
        kind = one.point.value_type
        pairs.setdefault((kind.layout, kind.bits, kind.word_order, one.point.scale, one.first_word), []).append(one)
    order = list(Verdict)
    listed, *others = pairs.values()
    ranked = sorted(others, key=lambda pair: min(order.index(one.verdict) for one in pair))
    return (*listed, *(one for pair in ranked for one in pair))


def _each_once(readings: list[Reading]) -> tuple[Reading, ...]:
    seen: dict[tuple[ValueType, Decimal, int], Reading] = {}
    for one in readings:
        seen.setdefault((one.point.value_type, one.point.scale, one.first_word), one)
    return tuple(seen.values())


def _reading(
    listed: Point, point: Point, words: tuple[int, ...], first_word: int, *, is_listed: bool = False
) -> Reading:
    value = value_of(point, words)
    verdict = _verdict(listed, point, value, is_listed=is_listed)
    return Reading(point, words, first_word, value, verdict, is_listed)


def _verdict(listed: Point, point: Point, value: Value, *, is_listed: bool) -> Verdict:
    match value:
        case NoValue():
            return Verdict.ABSURD if not is_listed else Verdict.POSSIBLE
        case BitValue():
            return Verdict.FITS
        case TextValue(text):
            return Verdict.FITS if is_listed else Verdict.POSSIBLE if text.isascii() else Verdict.UNLIKELY
        case TimeValue(seconds):
            is_of_now = FIRST_YEAR_S <= seconds <= LAST_YEAR_S
            return (Verdict.FITS if is_listed else Verdict.POSSIBLE) if is_of_now else Verdict.ABSURD
        case NumberValue(value=number):
            return _number_verdict(listed, point, number, is_listed=is_listed)


def _number_verdict(listed: Point, point: Point, number: Decimal, *, is_listed: bool) -> Verdict:
    if point.value_type.layout is Layout.FLOAT and number != 0 and not TINIEST_LIKELY <= abs(number) <= LARGEST_LIKELY:
        return Verdict.ABSURD
    match listed.range:
        case Between(low, high) if low <= number <= high:
            return Verdict.FITS if is_listed or point.scale == listed.scale else Verdict.POSSIBLE
        case Between(low, high):
            span = max(high - low, abs(high), Decimal(1))
            is_without_scale = point.scale != listed.scale
            is_far = not low - span <= number <= high + span
            if is_without_scale:
                return Verdict.POSSIBLE if abs(number) <= LARGEST_OF_MEASURES and not is_far else Verdict.UNLIKELY
            return Verdict.ABSURD if is_far else Verdict.UNLIKELY
        case AnyValue():
            if is_listed and listed.named:
                return Verdict.FITS if value_is_named(listed, number) else Verdict.UNLIKELY
            if is_listed:
                return Verdict.POSSIBLE
            return Verdict.POSSIBLE if abs(number) <= LARGEST_OF_MEASURES else Verdict.UNLIKELY


def value_is_named(point: Point, number: Decimal) -> bool:
    """Tell whether an enumeration has words for a number."""
    raw = (number - point.offset) / point.scale
    return any(one.raw == raw for one in point.named)
