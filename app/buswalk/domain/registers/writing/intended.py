"""What is to be written where. Whether it may be is in `checks`; sending it is a job's."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS
from buswalk.domain.modbus.functions.write_multiple_coils import WriteMultipleCoils
from buswalk.domain.modbus.functions.write_multiple_registers import WriteMultipleRegisters
from buswalk.domain.modbus.functions.write_single_coil import WriteSingleCoil
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.request import Request
from buswalk.domain.registers.point import Point, WriteType
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.tables import Table


@dataclass(frozen=True, slots=True)
class KnownPlace:
    """A point of a profile."""

    point: Point


@dataclass(frozen=True, slots=True)
class RawPlace:
    """Registers or bits that no list describes here."""

    table: Table
    register_address: int
    quantity: int = 1


WritePlace: TypeAlias = KnownPlace | RawPlace


@dataclass(frozen=True, slots=True)
class Target:
    """Registers or bits of one device; the same place is written to again under the same target."""

    server_address: int
    block: Block


class SecondConfirmation(Enum):
    """What a person must have confirmed apart from the write itself."""

    ALL_DEVICES = "all devices"
    """It goes to address 0: every device on the line takes it, and none says so."""
    WEARS_MEMORY = "wears the memory"
    """It has been written several times to memory that every write wears."""
    NO_WAY_BACK = "no way back"
    """What stands there cannot be read, so it cannot be put back."""


@dataclass(frozen=True, slots=True)
class IntendedWrite:
    """One value for one place.

    Attributes:
        server_address: 1 to 247, or 0 for all devices.
        words: One entry a register (or one bit each, 0 or 1), in wire order.

    Raises:
        ValueError: The table cannot be written, or the words do not fit the place.
    """

    server_address: int
    settings: SerialSettings
    place: WritePlace
    words: tuple[int, ...]

    def __post_init__(self) -> None:
        block = self.block
        if not block.table.can_be_written:
            raise ValueError(f"{block.table.value.replace('_', ' ')} cannot be written: the standard has no function")
        if len(self.words) != block.quantity:
            raise ValueError(f"{len(self.words)} words are given for {block.quantity}")
        highest = 1 if block.table.holds_bits else 0xFFFF
        wrong = [one for one in self.words if not 0 <= one <= highest]
        if wrong:
            raise ValueError(f"{wrong[0]} cannot stand there: 0 to {highest} can")
        _ = self.request  # which refuses more than one request can carry

    @property
    def block(self) -> Block:
        """Where it goes."""
        match self.place:
            case KnownPlace(point):
                return Block(point.table, point.register_address, point.last_register_address)
            case RawPlace(table, first, quantity):
                return Block(table, first, first + quantity - 1)

    @property
    def target(self) -> Target:
        """The place on the line, whatever it is called."""
        return Target(self.server_address, self.block)

    @property
    def is_broadcast(self) -> bool:
        """Whether it goes to all devices."""
        return self.server_address == BROADCAST_ADDRESS

    @property
    def write_type(self) -> WriteType:
        """What a write does beside setting the value; of a raw place nothing is known."""
        return self.place.point.write_type if isinstance(self.place, KnownPlace) else WriteType.RAM

    @property
    def can_be_read(self) -> bool:
        """Whether reading the place is harmless and somebody can answer."""
        clears = isinstance(self.place, KnownPlace) and self.place.point.clears_on_read
        return not (clears or self.is_broadcast)

    @property
    def request(self) -> Request:
        """The shortest request that writes it: 06 or 05 for one, 10 or 0F for several."""
        if len(self.words) > 1:
            return self.request_for_several
        if self.block.table.holds_bits:
            return WriteSingleCoil(self.block.first, self.words[0] == 1)
        return WriteSingleRegister(self.block.first, self.words[0])

    @property
    def request_for_several(self) -> Request:
        """The one that some devices know alone, also for one value: 10, or 0F for bits."""
        if self.block.table.holds_bits:
            return WriteMultipleCoils(self.block.first, tuple(one == 1 for one in self.words))
        return WriteMultipleRegisters(self.block.first, self.words)
