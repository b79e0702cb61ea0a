"""Short names of value types for files and commands (`float32`), and the words that people read."""

from __future__ import annotations

from buswalk.domain.registers.value_type import ByteOrder, Layout, ValueType, WordOrder

NAMED_TYPES: dict[str, tuple[Layout, int]] = {
    "bit": (Layout.BIT, 1),
    **{f"uint{bits}": (Layout.UNSIGNED, bits) for bits in (16, 32, 48, 64)},
    **{f"int{bits}": (Layout.SIGNED, bits) for bits in (16, 32, 48, 64)},
    **{f"sign_magnitude{bits}": (Layout.SIGN_MAGNITUDE, bits) for bits in (16, 32, 48, 64)},
    **{f"float{bits}": (Layout.FLOAT, bits) for bits in (16, 32, 64)},
    **{f"bcd{bits}": (Layout.BCD, bits) for bits in (16, 32, 48, 64)},
    **{f"time{bits}": (Layout.TIME, bits) for bits in (32, 64)},
}
"""All but texts, whose length is stated beside."""
TEXT_NAME = "text"

_LAYOUT_WORDS = {
    Layout.BIT: "bit",
    Layout.UNSIGNED: "unsigned",
    Layout.SIGNED: "signed",
    Layout.SIGN_MAGNITUDE: "sign and amount",
    Layout.FLOAT: "float",
    Layout.BCD: "BCD",
    Layout.TEXT: "text",
    Layout.TIME: "seconds since 1970",
}


def type_name(value_type: ValueType) -> str:
    """Return its short name without orders."""
    if value_type.layout is Layout.TEXT:
        return TEXT_NAME
    key = (value_type.layout, value_type.bits)
    return next(name for name, one in NAMED_TYPES.items() if one == key)


def type_words(value_type: ValueType) -> str:
    """Return it as people say it: 'float 32, low word first, bytes exchanged'."""
    parts = [_LAYOUT_WORDS[value_type.layout]]
    if value_type.layout is Layout.TEXT:
        parts = [f"text of {value_type.words * 2} characters"]
    elif value_type.layout is not Layout.BIT:
        parts = [f"{parts[0]} {value_type.bits}" if value_type.layout is not Layout.TIME else parts[0]]
    return ", ".join(parts + order_words(value_type))


def order_words(value_type: ValueType) -> list[str]:
    """Return what is to be said of its orders: of words where there are several, of bytes if they are exchanged."""
    words: list[str] = []
    is_text = value_type.layout is Layout.TEXT
    if value_type.words > 1 and not (is_text and value_type.word_order is WordOrder.HIGH_FIRST):
        words.append(value_type.word_order.value)
    if value_type.byte_order is ByteOrder.EXCHANGED:
        words.append(value_type.byte_order.value)
    return words
