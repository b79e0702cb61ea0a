"""Function 10: write multiple holding registers (Application V1.1b3, 6.12). A write changes the plant."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_echoed_word, require_function, require_length
from buswalk.domain.modbus.functions.span_limits import require_span, require_word
from buswalk.domain.modbus.functions.words import bytes_to_words, words_to_bytes
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength, WrongReplyReason

FUNCTION_CODE = 0x10
LARGEST_QUANTITY = 123


@dataclass(frozen=True, slots=True)
class MultipleRegistersWritten:
    """The server confirms: from here, so many."""

    register_address: int
    quantity: int


@dataclass(frozen=True, slots=True)
class WriteMultipleRegisters:
    """Ask for 1 to 123 registers from a 0-based address to take these values (0 to 65535), in order.

    Raises:
        ValueError: The span is one that the standard refuses, or a value does not fit 16 bits.
    """

    register_address: int
    values: tuple[int, ...]

    def __post_init__(self) -> None:
        require_span(self.register_address, len(self.values), LARGEST_QUANTITY)
        for value in self.values:
            require_word(value, "value")

    @property
    def function_code(self) -> int:
        """0x10."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Writes."""
        return Effect.WRITES

    def pdu(self) -> bytes:
        """Function, start, quantity, byte count, values."""
        data = words_to_bytes(self.values)
        head = bytes([FUNCTION_CODE]) + self.register_address.to_bytes(2, "big") + len(self.values).to_bytes(2, "big")
        return head + bytes([len(data)]) + data

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - always the same
        """Function, start, quantity."""
        return KnownLength(5)

    def parse_reply(self, pdu: bytes) -> MultipleRegistersWritten:
        """Return the confirmation, which must name the span that was sent."""
        require_function(pdu, FUNCTION_CODE)
        require_length(pdu, 5)
        require_echoed_word(pdu, 1, self.register_address, WrongReplyReason.OTHER_REGISTER_ADDRESS, "start address")
        require_echoed_word(pdu, 3, len(self.values), WrongReplyReason.OTHER_QUANTITY, "quantity")
        return MultipleRegistersWritten(self.register_address, len(self.values))


def parse_request(pdu: bytes) -> WriteMultipleRegisters:
    """Return the request that these bytes are.

    Raises:
        ValueError: Quantity, byte count and bytes do not agree.
    """
    quantity = int.from_bytes(pdu[3:5], "big")
    if len(pdu) < 8 or pdu[5] != len(pdu) - 6 or pdu[5] != 2 * quantity:
        raise ValueError("quantity, byte count and bytes of a request to write registers do not agree")
    return WriteMultipleRegisters(int.from_bytes(pdu[1:3], "big"), bytes_to_words(pdu[6:]))
