"""One value of a device as its list describes it: where it stands, what it is, what may be done with it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from typing import TypeAlias

from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import UINT16, Layout, ValueType

LAST_REGISTER_ADDRESS = 0xFFFF


class Access(Enum):
    """What the list says may be done."""

    READ = "read"
    READ_WRITE = "read_write"
    WRITE = "write"


class WriteType(Enum):
    """What a write does beside setting the value."""

    RAM = "ram"
    """Held until power goes, or until the device falls back by itself."""
    EEPROM = "eeprom"
    """Kept for good; each write wears the memory."""
    TRIGGER = "trigger"
    """Starts something; what is read back is another matter."""


class Sets(Enum):
    """What a point sets of the device itself: by these it is moved to another address or speed."""

    NOTHING = "nothing"
    SERVER_ADDRESS = "server_address"
    SPEED = "speed"
    """Its named values are speeds, perhaps with a framing: `19200`, `19200 8E1`."""
    FRAMING = "framing"
    """Its named values are framings: `8E1`."""
    SAVE = "save"
    """What was set acts, or stays, only once this is written; written last."""


@dataclass(frozen=True, slots=True)
class Between:
    """Values that can be, in the unit of the point, both ends included."""

    low: Decimal
    high: Decimal

    def __post_init__(self) -> None:
        if self.low > self.high:
            raise ValueError(f"a range goes upward, not from {self.low} to {self.high}")


@dataclass(frozen=True, slots=True)
class AnyValue:
    """The list names no range."""


ValueRange: TypeAlias = Between | AnyValue


@dataclass(frozen=True, slots=True)
class NamedValue:
    """What a raw value of an enumeration means."""

    raw: int
    words: str


@dataclass(frozen=True, slots=True)
class BitField:
    """Some neighbouring bits of a raw value; bit 0 is the lowest.

    Attributes:
        named: Words for its values; empty where they are a plain number or, for one bit, on and off.
    """

    name: str
    first_bit: int
    width: int = 1
    named: tuple[NamedValue, ...] = ()


@dataclass(frozen=True, slots=True)
class Point:
    """One value of a device.

    value = raw * scale + offset, in decimal arithmetic.

    Attributes:
        name: Unique in its profile: lower case, digits and underscores.
        words: What people call it.
        register_address: As sent, from 0; of the first word.
        decimals: Digits shown behind the point; 0 where nobody has said how many: a float then has those that it has.
        sentinels: Raw values (unsigned, of the whole width) that mean 'no value'.
        named: An enumeration; empty if the value is no such thing.
        clears_on_read: Reading changes it: it is only read when asked for by name.
        caution: What a write may move or harm; empty if nothing is known.
        is_shown_whole: It was said that there are no digits behind the point.

    Raises:
        ValueError: It does not fit into its table, or a part contradicts another.
    """

    name: str
    table: Table
    register_address: int
    value_type: ValueType = UINT16
    words: str = ""
    scale: Decimal = Decimal(1)
    offset: Decimal = Decimal(0)
    unit: str = ""
    range: ValueRange = AnyValue()
    decimals: int = 0
    sentinels: tuple[int, ...] = ()
    named: tuple[NamedValue, ...] = ()
    bit_fields: tuple[BitField, ...] = ()
    access: Access = Access.READ
    write_type: WriteType = WriteType.RAM
    clears_on_read: bool = False
    caution: str = ""
    notes: str = ""
    is_shown_whole: bool = False
    sets: Sets = Sets.NOTHING

    def __post_init__(self) -> None:
        if not 0 <= self.register_address <= self.last_register_address <= LAST_REGISTER_ADDRESS:
            raise ValueError(f"registers are 0 to {LAST_REGISTER_ADDRESS}; {self.name} would end beyond")
        if self.table.holds_bits != (self.value_type.layout is Layout.BIT):
            raise ValueError(f"{self.name}: {self.table.value} hold {'bits' if self.table.holds_bits else 'words'}")
        if self.access is not Access.READ and not self.table.can_be_written:
            raise ValueError(f"{self.name}: {self.table.value} cannot be written")
        if self.is_shown_whole and self.decimals:
            raise ValueError(f"{self.name}: shown whole, or with {self.decimals} decimals, not both")
        if self.sets is not Sets.NOTHING and not self.is_writable_word:
            raise ValueError(f"{self.name}: sets = '{self.sets.value}' is for one holding register that can be written")
        if not self.scale:
            raise ValueError(f"{self.name}: a scale of 0 leaves nothing of the value")

    @property
    def can_be_read(self) -> bool:
        """Whether the list lets it be read."""
        return self.access is not Access.WRITE

    @property
    def is_writable_word(self) -> bool:
        """Whether it is one holding register that the list lets be written."""
        is_word = self.table is Table.HOLDING_REGISTERS and self.value_type.words == 1
        return is_word and self.access is not Access.READ

    @property
    def last_register_address(self) -> int:
        """Of its last word."""
        return self.register_address + self.value_type.words - 1
