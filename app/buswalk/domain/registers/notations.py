"""How lists write where a value stands: from 0 as sent, in hex, from 1, or as a reference number that names the table.

A text is only ever read in the notation that was stated: 40001 alone could be three different registers.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.registers.tables import Table

LAST_REGISTER_ADDRESS = 0xFFFF
REGISTERS_OF_FIVE_DIGITS = 9999
"""Of each table: 40001 to 49999."""
_HEX = re.compile(r"(?:0x)?([0-9a-f]{1,4})h?", re.IGNORECASE)
_TABLES = {one.digit: one for one in Table}


class Notation(Enum):
    """A way to write it, by the word that files and commands use."""

    REGISTER_ADDRESS = "register_address"
    REGISTER_ADDRESS_HEX = "register_address_hex"
    REGISTER_NUMBER = "register_number"
    REFERENCE_NUMBER_5 = "reference_number_5"
    REFERENCE_NUMBER_6 = "reference_number_6"

    @property
    def words(self) -> str:
        """What a heading says."""
        return _WORDS[self]

    @property
    def names_the_table(self) -> bool:
        """Whether its first digit is the table."""
        return self in (Notation.REFERENCE_NUMBER_5, Notation.REFERENCE_NUMBER_6)


_WORDS = {
    Notation.REGISTER_ADDRESS: "as sent, from 0",
    Notation.REGISTER_ADDRESS_HEX: "as sent, hex",
    Notation.REGISTER_NUMBER: "from 1",
    Notation.REFERENCE_NUMBER_5: "5 digits with table",
    Notation.REFERENCE_NUMBER_6: "6 digits with table",
}


@dataclass(frozen=True, slots=True)
class RegisterPlace:
    """One register or bit."""

    table: Table
    register_address: int


@dataclass(frozen=True, slots=True)
class Written:
    """One place in one notation."""

    notation: Notation
    text: str


class UnreadablePlace(Exception):
    """A text that is no register in its notation.

    Attributes:
        sentence: What is wrong, what to write.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def notations_of(place: RegisterPlace) -> tuple[Written, ...]:
    """Return one register in every notation that can write it: behind 9999 there are no five digits."""
    can = [one for one in Notation if one is not Notation.REFERENCE_NUMBER_5 or _has_five_digits(place)]
    return tuple(Written(one, written(place, one)) for one in can)


def written(place: RegisterPlace, notation: Notation) -> str:
    """Return one register in one notation.

    Raises:
        ValueError: Five digits do not reach it.
    """
    address, digit = place.register_address, place.table.digit
    match notation:
        case Notation.REGISTER_ADDRESS:
            return str(address)
        case Notation.REGISTER_ADDRESS_HEX:
            return f"0x{address:04X}"
        case Notation.REGISTER_NUMBER:
            return str(address + 1)
        case Notation.REFERENCE_NUMBER_5:
            if not _has_five_digits(place):
                raise ValueError(f"register number {address + 1} has no reference number of 5 digits")
            return f"{digit}{address + 1:04d}"
        case Notation.REFERENCE_NUMBER_6:
            return f"{digit}{address + 1:05d}"


def read_place(text: str, notation: Notation, table: Table) -> RegisterPlace:
    """Return the register that a text means in the notation stated, in the table stated.

    Raises:
        UnreadablePlace: It is none, or its first digit names another table.
    """
    wanted = text.strip()
    match notation:
        case Notation.REGISTER_ADDRESS:
            return RegisterPlace(table, _whole(wanted, notation, 0))
        case Notation.REGISTER_ADDRESS_HEX:
            return RegisterPlace(table, _hexadecimal(wanted))
        case Notation.REGISTER_NUMBER:
            return RegisterPlace(table, _whole(wanted, notation, 1) - 1)
        case Notation.REFERENCE_NUMBER_5:
            return _in_table(_reference(wanted, 5), table, wanted)
        case Notation.REFERENCE_NUMBER_6:
            return _in_table(_reference(wanted, 6), table, wanted)


def read_reference(text: str, digits: int) -> RegisterPlace:
    """Return what a reference number of 5 or 6 digits means, its table included.

    Raises:
        UnreadablePlace: It is none.
    """
    return _reference(text.strip(), digits)


def _whole(text: str, notation: Notation, first: int) -> int:
    last = LAST_REGISTER_ADDRESS + first
    if not (text.isascii() and text.isdigit()):
        hint = f"; a hex number needs the notation {Notation.REGISTER_ADDRESS_HEX.value}" if _is_hex(text) else ""
        raise UnreadablePlace(f"'{text}' is no number from {first} to {last}{hint}")
    number = int(text[:9])
    if not first <= number <= last or len(text) > 9:
        raise UnreadablePlace(f"{text} is no {notation.value}: these go from {first} to {last}")
    return number


def _hexadecimal(text: str) -> int:
    matched = _HEX.fullmatch(text)
    if matched is None:
        raise UnreadablePlace(f"'{text}' is no register address in hex: write 0x0000 to 0xFFFF")
    return int(matched.group(1), 16)


def _is_hex(text: str) -> bool:
    return _HEX.fullmatch(text) is not None


def _reference(text: str, digits: int) -> RegisterPlace:
    if not (text.isascii() and text.isdigit() and len(text) == digits):
        raise UnreadablePlace(f"'{text}' is no reference number of {digits} digits, such as {'4':0<{digits - 1}}1")
    table, number = _TABLES.get(int(text[0])), int(text[1:])
    if table is None:
        raise UnreadablePlace(f"{text} names no table: reference numbers begin with 0, 1, 3 or 4")
    if not 1 <= number <= LAST_REGISTER_ADDRESS + 1:
        raise UnreadablePlace(f"{text} is no reference number: behind its first digit it counts from 1 to 65536")
    return RegisterPlace(table, number - 1)


def _in_table(place: RegisterPlace, table: Table, text: str) -> RegisterPlace:
    if place.table is not table:
        names, said = (one.value.replace("_", " ") for one in (place.table, table))
        raise UnreadablePlace(f"{text} names the {names}, the table stated is {said}: one of both is wrong")
    return place


def _has_five_digits(place: RegisterPlace) -> bool:
    return place.register_address < REGISTERS_OF_FIVE_DIGITS
