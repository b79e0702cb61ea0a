"""The strict format of a register profile: what keys there are and of which kind. What they mean is the domain's."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

LONGEST_WORDS = 600
LONGEST_TITLE = 80
MOST_POINTS = 5000
NAME = r"^[a-z][a-z0-9_]*$"
NAME_OR_NOTHING = r"^([a-z][a-z0-9_]*)?$"
TABLES = Literal["coils", "discrete_inputs", "input_registers", "holding_registers"]
NOTATIONS = Literal[
    "register_address", "register_address_hex", "register_number", "reference_number_5", "reference_number_6"
]
TYPES = Literal[
    "bit", "uint16", "uint32", "uint48", "uint64", "int16", "int32", "int48", "int64",
    "sign_magnitude16", "sign_magnitude32", "sign_magnitude48", "sign_magnitude64",
    "float16", "float32", "float64", "bcd16", "bcd32", "bcd48", "bcd64", "text", "time32", "time64",
]  # fmt: skip


def _number(value: object) -> Decimal:
    """Take a number as it is written: 0.1 is one tenth."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("write a number, such as 0.1")
    return Decimal(repr(value))


def _place(value: object) -> str | int:
    if isinstance(value, bool) or not isinstance(value, int | str):
        raise ValueError("write a whole number, or a text in the notation stated")
    return value


Number = Annotated[Decimal, BeforeValidator(_number), WithJsonSchema({"type": "number"})]
Place = Annotated[
    str | int, BeforeValidator(_place), WithJsonSchema({"anyOf": [{"type": "integer"}, {"type": "string"}]})
]


class Table(BaseModel):
    """A table of the file: keys that are not known are refused, and no value is turned into another type."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class BlockTable(Table):
    """One of `blocks`: addresses that may be read together, both ends included."""

    table: TABLES
    first: Place
    last: Place


class ReadingTable(Table):
    """`[reading]`: how the type wants to be read."""

    blocks: list[BlockTable] = []
    largest_quantity: int = Field(default=125, ge=1, le=125)
    largest_bit_quantity: int = Field(default=2000, ge=1, le=2000)
    minimum_gap_s: Number = Decimal(0)


class HoldsTable(Table):
    """One of `holds`: words by which the type is known."""

    table: TABLES
    at: Place
    words: list[Annotated[int, Field(ge=0, le=0xFFFF)]] = Field(min_length=1, max_length=125)


class FingerprintTable(Table):
    """`[fingerprint]`: by what a device of this type is known; all of it must hold."""

    tells: list[Annotated[str, Field(min_length=1)]] = []
    holds: list[HoldsTable] = []


class LossTimerTable(Table):
    """`[loss_timer]`: what the type does when nobody asks it. Its time: as delivered, in a point of it, or both."""

    reaction: str = Field(min_length=1, max_length=LONGEST_TITLE)
    seconds: Annotated[Number, Field(ge=0, le=86_400)] | None = None
    point: str = Field(default="", pattern=NAME_OR_NOTHING, max_length=60)


class BitsTable(Table):
    """One of `bits`: some neighbouring bits of a value."""

    name: str = Field(min_length=1, max_length=LONGEST_TITLE)
    first_bit: int = Field(ge=0, le=63)
    width: int = Field(default=1, ge=1, le=64)
    values: dict[str, str] = {}


class PointTable(Table):
    """`[[point]]`: one value."""

    name: str = Field(pattern=NAME, max_length=60)
    words: str = Field(default="", max_length=LONGEST_TITLE)
    table: TABLES
    at: Place
    type: TYPES = "uint16"
    registers: int = Field(default=0, ge=0, le=125)
    word_order: Literal["high word first", "low word first"] = "high word first"
    byte_order: Literal["standard", "bytes exchanged"] = "standard"
    scale: Number = Decimal(1)
    offset: Number = Decimal(0)
    unit: str = Field(default="", max_length=20)
    range: list[Number] = Field(default=[], max_length=2)
    decimals: int = Field(default=0, ge=0, le=12)
    no_value: list[Annotated[int, Field(ge=0)]] = []
    values: dict[str, str] = {}
    bits: list[BitsTable] = []
    access: Literal["read", "read_write", "write"] = "read"
    write_type: Literal["ram", "eeprom", "trigger"] = "ram"
    clears_on_read: bool = False
    sets: Literal["nothing", "server_address", "speed", "framing", "save"] = "nothing"
    caution: str = Field(default="", max_length=LONGEST_WORDS)
    notes: str = Field(default="", max_length=LONGEST_WORDS)


class ProfileFile(Table):
    """The whole file."""

    title: str = Field(min_length=1, max_length=LONGEST_TITLE)
    notes: str = Field(default="", max_length=4000)
    addresses: NOTATIONS
    reading: ReadingTable = ReadingTable()
    fingerprint: FingerprintTable = FingerprintTable()
    loss_timer: LossTimerTable | None = None
    point: list[PointTable] = Field(min_length=1, max_length=MOST_POINTS)
