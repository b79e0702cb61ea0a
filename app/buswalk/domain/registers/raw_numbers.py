"""From patterns of bits to raw numbers and back, one pair a layout; orders are in `word_patterns`, scaling elsewhere.

A float is read as the shortest decimal that gives the same bits at its width: 41AB3333 is 21.4, not 21.3999996185.
"""

from __future__ import annotations

import struct
from decimal import Decimal
from math import isinf, isnan

from buswalk.domain.registers.value import NoValue, WhyNoValue
from buswalk.domain.registers.value_type import Layout, ValueType

_FLOAT_FORMATS = {16: (">e", 5), 32: (">f", 9), 64: (">d", 17)}
"""Of `struct`, and the digits after which every value of the width is told from its neighbours."""
_LARGEST_PLAIN_EXPONENT = 20


class DoesNotFit(Exception):
    """A number that lies outside of what the type can hold."""


def number_of(value_type: ValueType, pattern: int) -> Decimal | NoValue:
    """Return the number that a pattern means. A minus zero is 0.

    Raises:
        ValueError: The type is a text.
    """
    match value_type.layout:
        case Layout.BIT | Layout.UNSIGNED | Layout.TIME:
            return Decimal(pattern)
        case Layout.SIGNED:
            return Decimal(pattern - ((pattern >> value_type.bits - 1) << value_type.bits))
        case Layout.SIGN_MAGNITUDE:
            sign_bit = 1 << value_type.bits - 1
            return Decimal(-(pattern - sign_bit) if pattern & sign_bit else pattern)
        case Layout.FLOAT:
            return _decimal_of_float(value_type.bits, pattern)
        case Layout.BCD:
            digits = f"{pattern:x}"
            return Decimal(digits) if digits.isdecimal() else NoValue(WhyNoValue.NOT_DECIMAL)
        case Layout.TEXT:
            raise ValueError("a text is no number")


def pattern_of_number(value_type: ValueType, number: Decimal) -> int:
    """Return the pattern that holds a number; all but floats take whole numbers.

    Raises:
        DoesNotFit: It is outside of the type.
        ValueError: A fraction where whole numbers are kept, or the type is a text.
    """
    if value_type.layout is Layout.FLOAT:
        return _pattern_of_float(value_type.bits, number)
    low, high = whole_limits(value_type)
    if number != number.to_integral_value():
        raise ValueError(f"type {value_type.layout.value} holds whole numbers, not {number}")
    whole = int(number)
    if not low <= whole <= high:
        raise DoesNotFit
    match value_type.layout:
        case Layout.SIGNED:
            return whole & (1 << value_type.bits) - 1
        case Layout.SIGN_MAGNITUDE:
            return -whole | 1 << value_type.bits - 1 if whole < 0 else whole
        case Layout.BCD:
            return int(str(whole), 16)
        case _:
            return whole


def whole_limits(value_type: ValueType) -> tuple[int, int]:
    """Return the least and the greatest number of a type of whole numbers.

    Raises:
        ValueError: It is none.
    """
    bits = value_type.bits
    match value_type.layout:
        case Layout.BIT | Layout.UNSIGNED | Layout.TIME:
            return 0, (1 << bits) - 1
        case Layout.SIGNED:
            return -(1 << bits - 1), (1 << bits - 1) - 1
        case Layout.SIGN_MAGNITUDE:
            return -(1 << bits - 1) + 1, (1 << bits - 1) - 1
        case Layout.BCD:
            return 0, int(10 ** (bits // 4)) - 1
        case Layout.FLOAT | Layout.TEXT:
            raise ValueError(f"type {value_type.layout.value} has no whole limits")


def _decimal_of_float(bits: int, pattern: int) -> Decimal | NoValue:
    form, most_digits = _FLOAT_FORMATS[bits]
    packed = pattern.to_bytes(bits // 8, "big")
    number: float = struct.unpack(form, packed)[0]
    if isnan(number):
        return NoValue(WhyNoValue.NOT_A_NUMBER)
    if isinf(number):
        return NoValue(WhyNoValue.INFINITE)
    if not number:
        return Decimal(0)
    if bits == 64:
        return _plain(Decimal(repr(number)))
    for digits in range(1, most_digits + 1):
        text = f"{number:.{digits - 1}e}"
        if _packed(form, float(text)) == packed:
            return _plain(Decimal(text))
    raise AssertionError(f"{most_digits} digits tell every float of {bits} bits")


def _pattern_of_float(bits: int, number: Decimal) -> int:
    packed = _packed(_FLOAT_FORMATS[bits][0], float(number))
    if not packed:
        raise DoesNotFit
    return int.from_bytes(packed, "big")


def _packed(form: str, number: float) -> bytes:
    """Return the bytes of a finite float; nothing where it lies beyond the width."""
    if isinf(number):
        return b""
    try:
        return struct.pack(form, number)
    except OverflowError:
        return b""


def _plain(number: Decimal) -> Decimal:
    """Write 1E+2 as 100 and 21.0 as 21; leave what would be all zeros."""
    shortest = number.normalize()
    exponent = shortest.as_tuple().exponent
    if isinstance(exponent, int) and exponent > 0 and shortest.adjusted() <= _LARGEST_PLAIN_EXPONENT:
        return shortest.quantize(Decimal(1))
    return shortest
