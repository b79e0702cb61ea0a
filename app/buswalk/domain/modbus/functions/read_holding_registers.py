"""Function 03: read holding registers (Application V1.1b3, 6.3)."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_byte_count, require_function
from buswalk.domain.modbus.functions.span_limits import require_span
from buswalk.domain.modbus.functions.words import bytes_to_words
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength

FUNCTION_CODE = 0x03
LARGEST_QUANTITY = 125


@dataclass(frozen=True, slots=True)
class HoldingRegistersRead:
    """Values of holding registers, 0 to 65535, one entry per register, in wire order."""

    register_address: int
    values: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ReadHoldingRegisters:
    """Ask for 1 to 125 holding registers from a 0-based address.

    Raises:
        ValueError: The span is one that the standard refuses.
    """

    register_address: int
    quantity: int

    def __post_init__(self) -> None:
        require_span(self.register_address, self.quantity, LARGEST_QUANTITY)

    @property
    def function_code(self) -> int:
        """0x03."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Reads only."""
        return Effect.READS

    def pdu(self) -> bytes:
        """Function, start, quantity."""
        return bytes([FUNCTION_CODE]) + self.register_address.to_bytes(2, "big") + self.quantity.to_bytes(2, "big")

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - the request fixes it
        """Function, byte count, two bytes a register."""
        return KnownLength(2 + 2 * self.quantity)

    def parse_reply(self, pdu: bytes) -> HoldingRegistersRead:
        """Return the values asked for."""
        require_function(pdu, FUNCTION_CODE)
        data = require_byte_count(pdu, 2 * self.quantity)
        return HoldingRegistersRead(self.register_address, bytes_to_words(data))


def parse_request(pdu: bytes) -> ReadHoldingRegisters:
    """Return the request that these bytes are.

    Raises:
        ValueError: They are none that the standard allows.
    """
    if len(pdu) != 5:
        raise ValueError(f"a request to read holding registers has 5 bytes from its function code on, not {len(pdu)}")
    return ReadHoldingRegisters(int.from_bytes(pdu[1:3], "big"), int.from_bytes(pdu[3:5], "big"))
