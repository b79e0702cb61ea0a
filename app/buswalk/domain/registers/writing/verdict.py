"""What became of a written value, by what is read back: held, fell back, clipped, ignored."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from enum import Enum

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import AnyValue, Between
from buswalk.domain.registers.value import NumberValue
from buswalk.domain.registers.value_type import Layout
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace

READ_BACK_AFTER_S = (0.0, 2.0, 10.0, 60.0)
"""At once for what is ignored or clipped, later for what other sources or a timer take back (practice, no standard)."""


class Verdict(Enum):
    """What became of it."""

    HELD = "held"
    FELL_BACK = "fell_back"
    """It stood there, and later no more."""
    CLIPPED = "clipped"
    """The device took another value, on the way to the one that was asked for or at an end of the range."""
    IGNORED = "ignored"
    """What stood there before stands there still."""
    OTHER_VALUE = "other_value"
    """Neither the old value nor the new one, nor one between them."""
    NO_DIFFERENCE = "no_difference"
    """The new value is the old one: reading it back proves nothing."""
    NOT_READ = "not_read"
    """Nothing could be read back, so nothing is known."""


def verdict_of(intended: IntendedWrite, old: Sequence[int], looks: Sequence[Sequence[int]]) -> Verdict:
    """Return the verdict by all looks so far, in order; the last one that read something decides.

    Args:
        old: What stood there before; empty if it is not known.
        looks: What was read each time; empty where nothing was.
    """
    readable = [tuple(one) for one in looks if one]
    if not readable:
        return Verdict.NOT_READ
    last = readable[-1]
    if is_same(intended, last, intended.words):
        return Verdict.NO_DIFFERENCE if old and is_same(intended, tuple(old), intended.words) else Verdict.HELD
    stood = [one for one in readable if is_same(intended, one, intended.words)]
    was_clipped = [one for one in readable if _is_clipped(intended, tuple(old), one)]
    if stood or (was_clipped and old and is_same(intended, last, tuple(old))):
        return Verdict.FELL_BACK
    if old and is_same(intended, last, tuple(old)):
        return Verdict.IGNORED
    return Verdict.CLIPPED if _is_clipped(intended, tuple(old), last) else Verdict.OTHER_VALUE


def is_same(intended: IntendedWrite, one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    """Tell whether two readings mean the same value: word for word, of floats within half of the last digit shown.

    A device that keeps tenths and shows them as a float reads back 21.499 for 21.5: that is the value written.
    """
    if one == other:
        return True
    if not isinstance(intended.place, KnownPlace) or intended.place.point.value_type.layout is not Layout.FLOAT:
        return False
    low, high = _number(intended, one), _number(intended, other)
    if low is None or high is None:
        return False
    return abs(low - high) * 2 <= Decimal(1).scaleb(-intended.place.point.decimals)


def _is_clipped(intended: IntendedWrite, old: tuple[int, ...], read: tuple[int, ...]) -> bool:
    """Tell whether a value is what a limit leaves of the one that was asked for."""
    asked, now = _number(intended, intended.words), _number(intended, read)
    if asked is None or now is None or asked == now:
        return False
    before = _number(intended, old) if old else None
    lies_between = before is not None and min(before, asked) < now < max(before, asked)
    return lies_between or _is_end_of_range(intended, asked, now)


def _is_end_of_range(intended: IntendedWrite, asked: Decimal, now: Decimal) -> bool:
    limits = intended.place.point.range if isinstance(intended.place, KnownPlace) else AnyValue()
    return isinstance(limits, Between) and (asked > limits.high == now or asked < limits.low == now)


def _number(intended: IntendedWrite, words: tuple[int, ...]) -> Decimal | None:
    """Return the number that words mean; None for a text, a bit, or no value. A raw word is a number of its own."""
    match intended.place:
        case KnownPlace(point):
            value = value_of(point, words)
            return value.value if isinstance(value, NumberValue) else None
        case _ if len(words) == 1 and not intended.block.table.holds_bits:
            return Decimal(words[0])
        case _:
            return None
