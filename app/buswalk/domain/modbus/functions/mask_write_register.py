"""Function 16: mask write register (Application V1.1b3, 6.16). A write changes the plant."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_echoed_word, require_function, require_length
from buswalk.domain.modbus.functions.span_limits import require_register_address, require_word
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength, WrongReplyReason

FUNCTION_CODE = 0x16


@dataclass(frozen=True, slots=True)
class RegisterMasked:
    """The server confirms: this register, these masks."""

    register_address: int
    and_mask: int
    or_mask: int


@dataclass(frozen=True, slots=True)
class MaskWriteRegister:
    """Ask for (value AND and_mask) OR (or_mask AND NOT and_mask) in one register.

    Raises:
        ValueError: Address or mask does not fit 16 bits.
    """

    register_address: int
    and_mask: int
    or_mask: int

    def __post_init__(self) -> None:
        require_register_address(self.register_address)
        require_word(self.and_mask, "AND mask")
        require_word(self.or_mask, "OR mask")

    @property
    def function_code(self) -> int:
        """0x16."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Writes."""
        return Effect.WRITES

    def pdu(self) -> bytes:
        """Function, address, AND mask, OR mask."""
        words = (self.register_address, self.and_mask, self.or_mask)
        return bytes([FUNCTION_CODE]) + b"".join(word.to_bytes(2, "big") for word in words)

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - always the same
        """As long as the request."""
        return KnownLength(7)

    def parse_reply(self, pdu: bytes) -> RegisterMasked:
        """Return the confirmation, which must be the request byte for byte."""
        require_function(pdu, FUNCTION_CODE)
        require_length(pdu, 7)
        require_echoed_word(pdu, 1, self.register_address, WrongReplyReason.OTHER_REGISTER_ADDRESS, "register address")
        require_echoed_word(pdu, 3, self.and_mask, WrongReplyReason.OTHER_VALUE, "AND mask")
        require_echoed_word(pdu, 5, self.or_mask, WrongReplyReason.OTHER_VALUE, "OR mask")
        return RegisterMasked(self.register_address, self.and_mask, self.or_mask)


def parse_request(pdu: bytes) -> MaskWriteRegister:
    """Return the request that these bytes are.

    Raises:
        ValueError: Wrong length.
    """
    if len(pdu) != 7:
        raise ValueError(f"a mask write has 7 bytes from its function code on, not {len(pdu)}")
    return MaskWriteRegister(*(int.from_bytes(pdu[at : at + 2], "big") for at in (1, 3, 5)))
