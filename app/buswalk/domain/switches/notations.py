"""An address in decimal, hex and binary at once, as people write them."""

from __future__ import annotations

from dataclasses import dataclass

BYTE_BITS = 8


@dataclass(frozen=True, slots=True)
class Notations:
    """One number, three ways.

    Attributes:
        decimal: 37.
        hexadecimal: 0x25, at least two digits.
        binary: 0010 0101, at least one byte, a space before every four digits from the right.
    """

    decimal: str
    hexadecimal: str
    binary: str


def notations_of(number: int) -> Notations:
    """Return a number from 0 on in all three notations."""
    digits: list[str] = []
    left = number
    while left or len(digits) < BYTE_BITS:
        digits.append("1" if left % 2 else "0")
        left //= 2
    while len(digits) % 4:
        digits.append("0")
    most_first = "".join(reversed(digits))
    grouped = " ".join(most_first[at : at + 4] for at in range(0, len(most_first), 4))
    return Notations(str(number), f"0x{number:02X}", grouped)
