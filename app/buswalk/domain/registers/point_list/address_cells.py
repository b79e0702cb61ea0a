"""What stands in the address column: which notation a list uses, and one address read in that notation.

A register has several numbers: 0-based as sent, 1-based as the data model counts (Application V1.1b3, 4.4), and
reference numbers whose first digit names the table (a custom, not the standard).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS
from buswalk.domain.registers.tables import Table


class ListNotation(Enum):
    """How a list numbers registers; the value is what people call it."""

    AS_SENT = "counted from 0, as sent"
    FROM_ONE = "counted from 1"
    REFERENCE = "reference numbers, 40001 style"


@dataclass(frozen=True, slots=True)
class WrittenAddress:
    """An address cell taken apart.

    Attributes:
        number: As it is written, decimal or hex.
        digits: How many digits it has in decimal, leading zeros included; 0 for hex.
        last: Of a span such as 40001-40002; the number itself where none is written.
        bit: Of 40001.3; -1 where none is written.
        remark: What had to be decided to read it; empty if nothing.
    """

    number: int
    digits: int
    last: int
    bit: int = -1
    remark: str = ""


@dataclass(frozen=True, slots=True)
class PlacedAddress:
    """A register as it is sent; the table where the notation names it."""

    register_address: int
    table: Table | None


_BY_DIGIT = {one.digit: one for one in Table}
_HEX = re.compile(r"(?:0[xX]([0-9a-fA-F]{1,4})|([0-9a-fA-F]{1,4})[hH])")
_SPAN = re.compile(r"(\d{1,6})\s*(?:-|–|\.\.\.?|…|to|/)\s*(\d{1,6})")
_BIT = re.compile(r"(\d{1,6})\s*[.:/]\s*(?:bit\s*)?(\d{1,2})")
_GROUPED = re.compile(r"\d{1,3}(?:[.,' \u00a0\u202f]\d{3})+")
_PREFIX = re.compile(r"^(?:hr|ir|di|co|reg(?:ister)?|mw|[%#])\s*[:.]?\s*", re.IGNORECASE)
HIGHEST_BIT = 15


def written_address(text: str) -> WrittenAddress:
    """Take an address cell apart.

    Raises:
        ValueError: It is no address; the text says why and what to write.
    """
    plain = _PREFIX.sub("", text.strip())
    if not plain:
        raise ValueError("no address: write one, or leave the row out")
    if matched := _HEX.fullmatch(plain):
        number = int(matched.group(1) or matched.group(2), 16)
        return WrittenAddress(number, 0, number)
    if _GROUPED.fullmatch(plain):
        joined = re.sub(r"\D", "", plain)
        return WrittenAddress(int(joined), len(joined), int(joined), remark=f"'{plain}' is read as {joined}")
    if plain.isdecimal():
        return WrittenAddress(int(plain), len(plain), int(plain))
    if (matched := _BIT.fullmatch(plain)) and int(matched.group(2)) <= HIGHEST_BIT and "-" not in plain:
        number = int(matched.group(1))
        return WrittenAddress(number, len(matched.group(1)), number, int(matched.group(2)))
    if matched := _SPAN.fullmatch(plain):
        first, last = int(matched.group(1)), int(matched.group(2))
        if first <= last:
            return WrittenAddress(first, len(matched.group(1)), last)
    raise ValueError(f"address '{text.strip()}' cannot be read: write a number, such as 40001 or 0x0012")


def is_reference(written: WrittenAddress) -> bool:
    """Tell whether a number has the shape of a reference number: five or six digits, the first naming a table."""
    if written.digits not in (5, 6) or written.number == 0:
        return False
    digit, rest = divmod(written.number, 10 ** (written.digits - 1))
    return digit in _BY_DIGIT and 1 <= rest <= LAST_REGISTER_ADDRESS + 1


def place(written: WrittenAddress, notation: ListNotation) -> PlacedAddress:
    """Return the register that a number means in a notation.

    Raises:
        ValueError: It means none; the text says why.
    """
    if notation is ListNotation.REFERENCE:
        if not is_reference(written):
            raise ValueError(f"{written.number} is no reference number like the others of this list: left out")
        digit, rest = divmod(written.number, 10 ** (written.digits - 1))
        return PlacedAddress(rest - 1, _BY_DIGIT[digit])
    address = written.number - (notation is ListNotation.FROM_ONE)
    if not 0 <= address <= LAST_REGISTER_ADDRESS:
        raise ValueError(f"register {written.number} cannot be, {notation.value}: left out")
    return PlacedAddress(address, None)


@dataclass(frozen=True, slots=True)
class GuessedNotation:
    """A notation and why; `is_sure` if the list itself proves it."""

    notation: ListNotation
    why: str
    is_sure: bool


def guessed_notation(cells: Sequence[str]) -> GuessedNotation:
    """Return the notation that the addresses of a list speak for; a doubt is said and not hidden."""
    written = []
    for one in cells:
        try:
            written.append(written_address(one))
        except ValueError:
            continue
    if not written:
        return GuessedNotation(ListNotation.AS_SENT, "no address can be read", is_sure=False)
    references = sum(map(is_reference, written))
    if 2 * references > len(written):
        is_all = references == len(written)
        others = "" if is_all else f", {len(written) - references} are none"
        return GuessedNotation(
            ListNotation.REFERENCE, f"{references} of {len(written)} are reference numbers{others}", is_all
        )
    if any(one.number == 0 for one in written):
        return GuessedNotation(ListNotation.AS_SENT, "register 0 is in the list", is_sure=True)
    if all(one.digits == 0 for one in written):
        return GuessedNotation(ListNotation.AS_SENT, "numbers in hex are mostly as sent", is_sure=False)
    least = min(one.number for one in written)
    if least == 1:
        return GuessedNotation(ListNotation.FROM_ONE, "it begins at 1, and 0 is not in it", is_sure=False)
    return GuessedNotation(
        ListNotation.AS_SENT, f"it begins at {least}: nothing tells whether it counts from 0 or 1", is_sure=False
    )
