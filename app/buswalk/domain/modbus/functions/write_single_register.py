"""Function 06: write a single holding register (Application V1.1b3, 6.6). A write changes the plant."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_echoed_word, require_function, require_length
from buswalk.domain.modbus.functions.span_limits import require_register_address, require_word
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength, WrongReplyReason

FUNCTION_CODE = 0x06


@dataclass(frozen=True, slots=True)
class SingleRegisterWritten:
    """The server confirms: this register, this value (0 to 65535)."""

    register_address: int
    value: int


@dataclass(frozen=True, slots=True)
class WriteSingleRegister:
    """Ask for one register, by 0-based address, to take a value of 0 to 65535.

    Raises:
        ValueError: Address or value does not fit 16 bits.
    """

    register_address: int
    value: int

    def __post_init__(self) -> None:
        require_register_address(self.register_address)
        require_word(self.value, "value")

    @property
    def function_code(self) -> int:
        """0x06."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Writes."""
        return Effect.WRITES

    def pdu(self) -> bytes:
        """Function, address, value."""
        return bytes([FUNCTION_CODE]) + self.register_address.to_bytes(2, "big") + self.value.to_bytes(2, "big")

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - always the same
        """As long as the request."""
        return KnownLength(5)

    def parse_reply(self, pdu: bytes) -> SingleRegisterWritten:
        """Return the confirmation, which must be the request byte for byte."""
        require_function(pdu, FUNCTION_CODE)
        require_length(pdu, 5)
        require_echoed_word(pdu, 1, self.register_address, WrongReplyReason.OTHER_REGISTER_ADDRESS, "register address")
        require_echoed_word(pdu, 3, self.value, WrongReplyReason.OTHER_VALUE, "value")
        return SingleRegisterWritten(self.register_address, self.value)


def parse_request(pdu: bytes) -> WriteSingleRegister:
    """Return the request that these bytes are.

    Raises:
        ValueError: Wrong length.
    """
    if len(pdu) != 5:
        raise ValueError(f"a request to write a register has 5 bytes from its function code on, not {len(pdu)}")
    return WriteSingleRegister(int.from_bytes(pdu[1:3], "big"), int.from_bytes(pdu[3:5], "big"))
