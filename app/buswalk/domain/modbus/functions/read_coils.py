"""Function 01: read coils (Application V1.1b3, 6.1)."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.packed_bits import byte_count_of_bits, unpack_bits
from buswalk.domain.modbus.functions.reply_checks import require_byte_count, require_function
from buswalk.domain.modbus.functions.span_limits import require_span
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength

FUNCTION_CODE = 0x01
LARGEST_QUANTITY = 2000


@dataclass(frozen=True, slots=True)
class CoilsRead:
    """States of coils, one entry per bit, in order of address."""

    register_address: int
    states: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class ReadCoils:
    """Ask for 1 to 2000 coils from a 0-based address.

    Raises:
        ValueError: The span is one that the standard refuses.
    """

    register_address: int
    quantity: int

    def __post_init__(self) -> None:
        require_span(self.register_address, self.quantity, LARGEST_QUANTITY)

    @property
    def function_code(self) -> int:
        """0x01."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Reads only."""
        return Effect.READS

    def pdu(self) -> bytes:
        """Function, start, quantity."""
        return bytes([FUNCTION_CODE]) + self.register_address.to_bytes(2, "big") + self.quantity.to_bytes(2, "big")

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - the request fixes it
        """Function, byte count, and a byte for each eight bits."""
        return KnownLength(2 + byte_count_of_bits(self.quantity))

    def parse_reply(self, pdu: bytes) -> CoilsRead:
        """Return the states asked for."""
        require_function(pdu, FUNCTION_CODE)
        data = require_byte_count(pdu, byte_count_of_bits(self.quantity))
        return CoilsRead(self.register_address, unpack_bits(data, self.quantity))


def parse_request(pdu: bytes) -> ReadCoils:
    """Return the request that these bytes are.

    Raises:
        ValueError: They are none that the standard allows.
    """
    if len(pdu) != 5:
        raise ValueError(f"a request to read coils has 5 bytes from its function code on, not {len(pdu)}")
    return ReadCoils(int.from_bytes(pdu[1:3], "big"), int.from_bytes(pdu[3:5], "big"))
