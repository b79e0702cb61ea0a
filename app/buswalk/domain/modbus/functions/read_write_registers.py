"""Function 17: read and write multiple registers in one exchange, writing first (Application V1.1b3, 6.17)."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_byte_count, require_function
from buswalk.domain.modbus.functions.span_limits import require_span, require_word
from buswalk.domain.modbus.functions.words import bytes_to_words, words_to_bytes
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength

FUNCTION_CODE = 0x17
LARGEST_READ_QUANTITY = 125
LARGEST_WRITE_QUANTITY = 121


@dataclass(frozen=True, slots=True)
class RegistersReadAfterWriting:
    """Values read after the write, one entry per register, in wire order."""

    register_address: int
    values: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ReadWriteRegisters:
    """Ask for a write of 1 to 121 registers and then a read of 1 to 125.

    Raises:
        ValueError: A span is one that the standard refuses, or a value does not fit 16 bits.
    """

    read_address: int
    read_quantity: int
    write_address: int
    values: tuple[int, ...]

    def __post_init__(self) -> None:
        require_span(self.read_address, self.read_quantity, LARGEST_READ_QUANTITY)
        require_span(self.write_address, len(self.values), LARGEST_WRITE_QUANTITY)
        for value in self.values:
            require_word(value, "value")

    @property
    def function_code(self) -> int:
        """0x17."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Writes."""
        return Effect.WRITES

    def pdu(self) -> bytes:
        """Function, read span, write span, byte count, values."""
        words = (self.read_address, self.read_quantity, self.write_address, len(self.values))
        data = words_to_bytes(self.values)
        return bytes([FUNCTION_CODE]) + words_to_bytes(words) + bytes([len(data)]) + data

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - the request fixes it
        """Function, byte count, two bytes a register read."""
        return KnownLength(2 + 2 * self.read_quantity)

    def parse_reply(self, pdu: bytes) -> RegistersReadAfterWriting:
        """Return the values read."""
        require_function(pdu, FUNCTION_CODE)
        data = require_byte_count(pdu, 2 * self.read_quantity)
        return RegistersReadAfterWriting(self.read_address, bytes_to_words(data))


def parse_request(pdu: bytes) -> ReadWriteRegisters:
    """Return the request that these bytes are.

    Raises:
        ValueError: Quantity, byte count and bytes do not agree.
    """
    if len(pdu) < 12 or pdu[9] != len(pdu) - 10 or pdu[9] != 2 * int.from_bytes(pdu[7:9], "big"):
        raise ValueError("write quantity, byte count and bytes of a read and write request do not agree")
    read_address, read_quantity, write_address = bytes_to_words(pdu[1:7])
    return ReadWriteRegisters(read_address, read_quantity, write_address, bytes_to_words(pdu[10:]))
