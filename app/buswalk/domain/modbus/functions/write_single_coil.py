"""Function 05: write a single coil (Application V1.1b3, 6.5). A write changes the plant."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_echoed_word, require_function, require_length
from buswalk.domain.modbus.functions.span_limits import require_register_address
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength, WrongReplyReason

FUNCTION_CODE = 0x05
COIL_ON = 0xFF00
COIL_OFF = 0x0000


@dataclass(frozen=True, slots=True)
class SingleCoilWritten:
    """The server confirms: this coil, this state."""

    register_address: int
    is_on: bool


@dataclass(frozen=True, slots=True)
class WriteSingleCoil:
    """Ask for one coil, by 0-based address, to be switched.

    Raises:
        ValueError: The address does not fit 16 bits.
    """

    register_address: int
    is_on: bool

    def __post_init__(self) -> None:
        require_register_address(self.register_address)

    @property
    def function_code(self) -> int:
        """0x05."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Writes."""
        return Effect.WRITES

    def pdu(self) -> bytes:
        """Function, address, FF00 or 0000."""
        value = COIL_ON if self.is_on else COIL_OFF
        return bytes([FUNCTION_CODE]) + self.register_address.to_bytes(2, "big") + value.to_bytes(2, "big")

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - always the same
        """As long as the request."""
        return KnownLength(5)

    def parse_reply(self, pdu: bytes) -> SingleCoilWritten:
        """Return the confirmation, which must be the request byte for byte."""
        require_function(pdu, FUNCTION_CODE)
        require_length(pdu, 5)
        require_echoed_word(pdu, 1, self.register_address, WrongReplyReason.OTHER_REGISTER_ADDRESS, "coil address")
        value = COIL_ON if self.is_on else COIL_OFF
        require_echoed_word(pdu, 3, value, WrongReplyReason.OTHER_VALUE, "value")
        return SingleCoilWritten(self.register_address, self.is_on)


def parse_request(pdu: bytes) -> WriteSingleCoil:
    """Return the request that these bytes are.

    Raises:
        ValueError: Wrong length, or a value other than FF00 and 0000.
    """
    value = int.from_bytes(pdu[3:5], "big")
    if len(pdu) != 5 or value not in (COIL_ON, COIL_OFF):
        raise ValueError("a request to write a coil has 5 bytes from its function code on and the value FF00 or 0000")
    return WriteSingleCoil(int.from_bytes(pdu[1:3], "big"), value == COIL_ON)
