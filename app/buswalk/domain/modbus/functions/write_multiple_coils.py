"""Function 0F: write multiple coils (Application V1.1b3, 6.11). A write changes the plant."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.packed_bits import byte_count_of_bits, pack_bits
from buswalk.domain.modbus.functions.reply_checks import require_echoed_word, require_function, require_length
from buswalk.domain.modbus.functions.span_limits import require_span
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength, WrongReplyReason

FUNCTION_CODE = 0x0F
LARGEST_QUANTITY = 1968


@dataclass(frozen=True, slots=True)
class MultipleCoilsWritten:
    """The server confirms: from here, so many."""

    register_address: int
    quantity: int


@dataclass(frozen=True, slots=True)
class WriteMultipleCoils:
    """Ask for 1 to 1968 coils from a 0-based address to take these states, in order.

    Raises:
        ValueError: The span is one that the standard refuses.
    """

    register_address: int
    states: tuple[bool, ...]

    def __post_init__(self) -> None:
        require_span(self.register_address, len(self.states), LARGEST_QUANTITY)

    @property
    def function_code(self) -> int:
        """0x0F."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Writes."""
        return Effect.WRITES

    def pdu(self) -> bytes:
        """Function, start, quantity, byte count, packed states."""
        packed = pack_bits(self.states)
        head = bytes([FUNCTION_CODE]) + self.register_address.to_bytes(2, "big") + len(self.states).to_bytes(2, "big")
        return head + bytes([len(packed)]) + packed

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - always the same
        """Function, start, quantity."""
        return KnownLength(5)

    def parse_reply(self, pdu: bytes) -> MultipleCoilsWritten:
        """Return the confirmation, which must name the span that was sent."""
        require_function(pdu, FUNCTION_CODE)
        require_length(pdu, 5)
        require_echoed_word(pdu, 1, self.register_address, WrongReplyReason.OTHER_REGISTER_ADDRESS, "start address")
        require_echoed_word(pdu, 3, len(self.states), WrongReplyReason.OTHER_QUANTITY, "quantity")
        return MultipleCoilsWritten(self.register_address, len(self.states))


def parse_request(pdu: bytes) -> WriteMultipleCoils:
    """Return the request that these bytes are.

    Raises:
        ValueError: Quantity, byte count and bytes do not agree.
    """
    quantity = int.from_bytes(pdu[3:5], "big")
    if len(pdu) < 7 or pdu[5] != len(pdu) - 6 or pdu[5] != byte_count_of_bits(quantity):
        raise ValueError("quantity, byte count and bytes of a request to write coils do not agree")
    states = tuple(bool(pdu[6 + index // 8] >> (index % 8) & 1) for index in range(quantity))
    return WriteMultipleCoils(int.from_bytes(pdu[1:3], "big"), states)
