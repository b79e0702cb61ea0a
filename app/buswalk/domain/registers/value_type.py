"""What the bits of a point are, and in which order they travel. Turning them into values is in `conversion`."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

BITS_OF_A_WORD = 16
LONGEST_TEXT_WORDS = 125


class Layout(Enum):
    """How bits are read as a value."""

    BIT = "bit"
    UNSIGNED = "uint"
    SIGNED = "int"
    """Two's complement."""
    SIGN_MAGNITUDE = "sign_magnitude"
    """The topmost bit says minus, the rest is the amount."""
    FLOAT = "float"
    """IEEE 754, 16, 32 or 64 bits."""
    BCD = "bcd"
    """Four bits a decimal digit."""
    TEXT = "text"
    """Two characters a word, padded with zeros or spaces."""
    TIME = "time"
    """Unsigned seconds since 1970-01-01 UTC, 32 or 64 bits."""


class WordOrder(Enum):
    """Which word of a value of several words comes first, that is, has the lower register address."""

    HIGH_FIRST = "high word first"
    LOW_FIRST = "low word first"


class ByteOrder(Enum):
    """How the two bytes of a word stand on the line: the standard sends the high byte first (V1.1b3, 4.2)."""

    STANDARD = "standard"
    EXCHANGED = "bytes exchanged"


_WIDTHS = {
    Layout.BIT: (1,),
    Layout.UNSIGNED: (16, 32, 48, 64),
    Layout.SIGNED: (16, 32, 48, 64),
    Layout.SIGN_MAGNITUDE: (16, 32, 48, 64),
    Layout.FLOAT: (16, 32, 64),
    Layout.BCD: (16, 32, 48, 64),
    Layout.TIME: (32, 64),
}


@dataclass(frozen=True, slots=True)
class ValueType:
    """A layout with its width and orders.

    Attributes:
        bits: 1 for a bit, else 16 for each word of the value.

    Raises:
        ValueError: No such width for this layout.
    """

    layout: Layout
    bits: int
    word_order: WordOrder = WordOrder.HIGH_FIRST
    byte_order: ByteOrder = ByteOrder.STANDARD

    def __post_init__(self) -> None:
        if self.layout is Layout.TEXT:
            if self.bits % BITS_OF_A_WORD or not 1 <= self.bits // BITS_OF_A_WORD <= LONGEST_TEXT_WORDS:
                raise ValueError(f"a text has 1 to {LONGEST_TEXT_WORDS} whole words, not {self.bits} bits")
        elif self.bits not in _WIDTHS[self.layout]:
            widths = ", ".join(str(one) for one in _WIDTHS[self.layout])
            raise ValueError(f"a value of type {self.layout.value} has {widths} bits, not {self.bits}")

    @property
    def words(self) -> int:
        """How many registers it takes; a bit takes one address of its table."""
        return max(1, self.bits // BITS_OF_A_WORD)


BIT = ValueType(Layout.BIT, 1)
UINT16 = ValueType(Layout.UNSIGNED, 16)
INT16 = ValueType(Layout.SIGNED, 16)
