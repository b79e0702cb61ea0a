"""From words in wire order to one unsigned pattern of bits and back: word order and byte order, nothing else."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.registers.value_type import BITS_OF_A_WORD, ByteOrder, Layout, ValueType, WordOrder


def pattern_of(value_type: ValueType, words: Sequence[int]) -> int:
    """Return the value's bits as an unsigned number of its width.

        high word first                 41AC 0000 -> 41AC0000
        low word first                  0000 41AC -> 41AC0000
        high word first, exchanged      AC41 0000 -> 41AC0000

    Raises:
        ValueError: Not as many words as the type has, or one that is none.
    """
    if len(words) != value_type.words:
        raise ValueError(f"{value_type.words} words are needed, not {len(words)}")
    highest = 1 if value_type.layout is Layout.BIT else 0xFFFF
    if any(not 0 <= word <= highest for word in words):
        raise ValueError(f"a {'bit' if highest == 1 else 'word'} is 0 to {highest}")
    pattern = 0
    for word in _in_order(value_type, words):
        pattern = pattern << BITS_OF_A_WORD | word
    return pattern


def words_of(value_type: ValueType, pattern: int) -> tuple[int, ...]:
    """Return the words in wire order that hold this pattern."""
    downward = range(value_type.words - 1, -1, -1)
    return tuple(_in_order(value_type, [pattern >> BITS_OF_A_WORD * at & 0xFFFF for at in downward]))


def _in_order(value_type: ValueType, words: Sequence[int]) -> list[int]:
    """Turn wire order into high word first, or back: it is its own inverse."""
    ordered = list(words)
    if value_type.byte_order is ByteOrder.EXCHANGED and value_type.layout is not Layout.BIT:
        ordered = [(word & 0xFF) << 8 | word >> 8 for word in ordered]
    if value_type.word_order is WordOrder.LOW_FIRST:
        ordered.reverse()
    return ordered
