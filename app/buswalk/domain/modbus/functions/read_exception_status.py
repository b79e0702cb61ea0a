"""Function 07: read exception status, eight device-specific flags (Application V1.1b3, 6.7). Serial line only."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_function, require_length
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength

FUNCTION_CODE = 0x07


@dataclass(frozen=True, slots=True)
class ExceptionStatus:
    """Eight flags, first one the lowest bit; what they mean is the maker's."""

    flags: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class ReadExceptionStatus:
    """Ask for the eight flags."""

    @property
    def function_code(self) -> int:
        """0x07."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Diagnoses."""
        return Effect.DIAGNOSES

    def pdu(self) -> bytes:
        """Function alone."""
        return bytes([FUNCTION_CODE])

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - always the same
        """Function and one byte."""
        return KnownLength(2)

    def parse_reply(self, pdu: bytes) -> ExceptionStatus:
        """Return the flags."""
        require_function(pdu, FUNCTION_CODE)
        require_length(pdu, 2)
        return ExceptionStatus(tuple(bool(pdu[1] >> bit & 1) for bit in range(8)))


def parse_request(pdu: bytes) -> ReadExceptionStatus:
    """Return the request that these bytes are.

    Raises:
        ValueError: Wrong length.
    """
    if len(pdu) != 1:
        raise ValueError("a request to read exception status is its function code alone")
    return ReadExceptionStatus()
