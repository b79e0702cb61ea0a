"""Words read as numbers in every type and order, many positions at once, in float64 as a search needs it.

Exact values of one position are in `conversion`.
"""

from __future__ import annotations

from functools import cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.registers.value_type import ByteOrder, Layout, ValueType, WordOrder

Numbers: TypeAlias = NDArray[np.float64]
SEARCHED = {
    Layout.UNSIGNED: (16, 32, 48, 64),
    Layout.SIGNED: (16, 32, 48, 64),
    Layout.FLOAT: (16, 32, 64),
    Layout.BCD: (16, 32),
    Layout.SIGN_MAGNITUDE: (16, 32),
}
_FLOATS = {16: np.uint16, 32: np.uint32, 64: np.uint64}
_FLOAT_TYPES = {16: np.float16, 32: np.float32, 64: np.float64}


@cache
def searched_types() -> tuple[ValueType, ...]:
    """Return every type and order that a value is looked for in, the usual ones first."""
    usual = [ValueType(layout, bits) for layout, widths in SEARCHED.items() for bits in widths]
    orders = [(words, order) for order in ByteOrder for words in WordOrder]
    others = [
        ValueType(one.layout, one.bits, words, order)
        for words, order in orders[1:]
        for one in usual
        if one.words > 1 or (words is WordOrder.HIGH_FIRST and order is ByteOrder.EXCHANGED)
    ]
    return tuple(sorted((*usual, *others), key=lambda one: (one.bits, orders.index((one.word_order, one.byte_order)))))


def raw_numbers(words: NDArray[np.uint16], value_type: ValueType) -> Numbers:
    """Return the number at each position where the type fits, before scaling; NaN where the bits are no number."""
    joined = _joined(words, value_type)
    bits = value_type.bits
    match value_type.layout:
        case Layout.UNSIGNED:
            return joined.astype(np.float64)
        case Layout.SIGNED:
            shift = np.uint64(64 - bits)
            return ((joined << shift).view(np.int64) >> shift.astype(np.int64)).astype(np.float64)
        case Layout.SIGN_MAGNITUDE:
            sign = np.uint64(1) << np.uint64(bits - 1)
            amount = (joined & (sign - np.uint64(1))).astype(np.float64)
            return np.where(joined & sign, -amount, amount)
        case Layout.FLOAT:
            with np.errstate(invalid="ignore"):
                narrow = joined.astype(_FLOATS[bits]).view(_FLOAT_TYPES[bits]).astype(np.float64)
            return np.where(np.isfinite(narrow), narrow, np.nan)
        case Layout.BCD:
            return _of_digits(joined, bits)
        case _:
            raise ValueError(f"a display shows no {value_type.layout.value}")


def _joined(words: NDArray[np.uint16], value_type: ValueType) -> NDArray[np.uint64]:
    plain = words.byteswap() if value_type.byte_order is ByteOrder.EXCHANGED else words
    count = value_type.words
    if len(plain) < count:
        return np.zeros(0, dtype=np.uint64)
    windows = np.lib.stride_tricks.sliding_window_view(plain, count)
    high_first = windows if value_type.word_order is WordOrder.HIGH_FIRST else windows[:, ::-1]
    joined = np.zeros(len(windows), dtype=np.uint64)
    for place in range(count):
        joined = (joined << np.uint64(16)) | high_first[:, place].astype(np.uint64)
    return joined


def _of_digits(joined: NDArray[np.uint64], bits: int) -> Numbers:
    number = np.zeros(len(joined), dtype=np.float64)
    is_decimal = np.ones(len(joined), dtype=np.bool_)
    for place in range(bits // 4 - 1, -1, -1):
        digit = (joined >> np.uint64(4 * place)) & np.uint64(0xF)
        is_decimal &= digit <= 9
        number = 10 * number + digit
    return np.where(is_decimal, number, np.nan)
