"""Function 11: report server ID (Application V1.1b3, 6.13). Serial line only.

The standard leaves the layout of identifier and extra data to the maker, so they stay raw bytes.
"""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_byte_count, require_function
from buswalk.domain.modbus.request import AtLeast, Effect, KnownLength, ReplyLength

FUNCTION_CODE = 0x11


@dataclass(frozen=True, slots=True)
class ServerId:
    """Identifier, run indicator and extra data as one run of bytes: only the maker knows where one ends."""

    data: bytes


@dataclass(frozen=True, slots=True)
class ReportServerId:
    """Ask what the server is."""

    @property
    def function_code(self) -> int:
        """0x11."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Diagnoses."""
        return Effect.DIAGNOSES

    def pdu(self) -> bytes:
        """Function alone."""
        return bytes([FUNCTION_CODE])

    def reply_length(self, so_far: bytes) -> ReplyLength:
        """Function, byte count, and as many bytes as it says."""
        if len(so_far) < 2:
            return AtLeast(2)
        return KnownLength(2 + so_far[1])

    def parse_reply(self, pdu: bytes) -> ServerId:
        """Return the bytes of identification."""
        require_function(pdu, FUNCTION_CODE)
        return ServerId(require_byte_count(pdu, pdu[1] if len(pdu) > 1 else 0))


def parse_request(pdu: bytes) -> ReportServerId:
    """Return the request that these bytes are.

    Raises:
        ValueError: Wrong length.
    """
    if len(pdu) != 1:
        raise ValueError("a request to report the server ID is its function code alone")
    return ReportServerId()
