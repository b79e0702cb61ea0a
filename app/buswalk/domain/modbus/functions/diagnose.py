"""Function 08: diagnostics (Application V1.1b3, 6.8). Serial line only.

Some sub-functions silence a server or wipe its counters: their effect says so, and the write guard keeps them back.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from buswalk.domain.modbus.functions.reply_checks import require_function, require_length
from buswalk.domain.modbus.request import (
    Effect,
    KnownLength,
    NoReplyDue,
    ReplyLength,
    WrongReply,
    WrongReplyReason,
)

FUNCTION_CODE = 0x08
LARGEST_DATA_BYTES = 250


class SubFunction(IntEnum):
    """Sub-functions of the standard; 05 to 09, 13 and 15 up are reserved (6.8.1)."""

    RETURN_QUERY_DATA = 0x00
    RESTART_COMMUNICATIONS = 0x01
    RETURN_DIAGNOSTIC_REGISTER = 0x02
    CHANGE_ASCII_DELIMITER = 0x03
    FORCE_LISTEN_ONLY = 0x04
    CLEAR_COUNTERS = 0x0A
    BUS_MESSAGE_COUNT = 0x0B
    BUS_COMMUNICATION_ERROR_COUNT = 0x0C
    BUS_EXCEPTION_ERROR_COUNT = 0x0D
    SERVER_MESSAGE_COUNT = 0x0E
    SERVER_NO_RESPONSE_COUNT = 0x0F
    SERVER_NAK_COUNT = 0x10
    SERVER_BUSY_COUNT = 0x11
    BUS_CHARACTER_OVERRUN_COUNT = 0x12
    CLEAR_OVERRUN_COUNTER = 0x14


_DISTURBING = frozenset(
    {
        SubFunction.RESTART_COMMUNICATIONS,
        SubFunction.CHANGE_ASCII_DELIMITER,
        SubFunction.FORCE_LISTEN_ONLY,
        SubFunction.CLEAR_COUNTERS,
        SubFunction.CLEAR_OVERRUN_COUNTER,
    }
)
_ECHOING = _DISTURBING | {SubFunction.RETURN_QUERY_DATA}
COUNTERS = frozenset(SubFunction) - _ECHOING - {SubFunction.RETURN_DIAGNOSTIC_REGISTER}


@dataclass(frozen=True, slots=True)
class Diagnosed:
    """What came back: the echo of what was sent, or the counter or register asked for."""

    sub_function: SubFunction
    data: bytes

    @property
    def value(self) -> int:
        """The data as one number, most significant byte first."""
        return int.from_bytes(self.data, "big")


@dataclass(frozen=True, slots=True)
class Diagnose:
    """Ask for one sub-function; all but return query data take one word.

    Raises:
        ValueError: The data is no whole number of words, too long, or more than a word where the
            sub-function takes one.
    """

    sub_function: SubFunction
    data: bytes = b"\x00\x00"

    def __post_init__(self) -> None:
        if not self.data or len(self.data) % 2 or len(self.data) > LARGEST_DATA_BYTES:
            raise ValueError(f"diagnostic data is 1 to {LARGEST_DATA_BYTES // 2} words, not {len(self.data)} bytes")
        if self.sub_function is not SubFunction.RETURN_QUERY_DATA and len(self.data) != 2:
            raise ValueError("only return query data takes more than one word")

    @property
    def function_code(self) -> int:
        """0x08."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Diagnoses, or disturbs where the sub-function silences, restarts or wipes."""
        return Effect.DISTURBS if self.sub_function in _DISTURBING else Effect.DIAGNOSES

    def pdu(self) -> bytes:
        """Function, sub-function, data."""
        return bytes([FUNCTION_CODE]) + self.sub_function.to_bytes(2, "big") + self.data

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - the request fixes it
        """As long as the request; force listen only has no reply."""
        if self.sub_function is SubFunction.FORCE_LISTEN_ONLY:
            return NoReplyDue()
        return KnownLength(3 + len(self.data))

    def parse_reply(self, pdu: bytes) -> Diagnosed:
        """Return the data that came back."""
        require_function(pdu, FUNCTION_CODE)
        require_length(pdu, 3 + len(self.data))
        seen = int.from_bytes(pdu[1:3], "big")
        if seen != self.sub_function:
            raise WrongReply(
                WrongReplyReason.OTHER_SUB_FUNCTION,
                f"asked for sub-function {self.sub_function:02X}, answered for {seen:02X}",
            )
        if self.sub_function in _ECHOING and pdu[3:] != self.data:
            raise WrongReply(WrongReplyReason.OTHER_VALUE, "the data that came back is not the data sent")
        return Diagnosed(self.sub_function, pdu[3:])


def parse_request(pdu: bytes) -> Diagnose:
    """Return the request that these bytes are.

    Raises:
        ValueError: A reserved sub-function, or data that it does not take.
    """
    if len(pdu) < 5:
        raise ValueError("a diagnostic request has at least 5 bytes from its function code on")
    return Diagnose(SubFunction(int.from_bytes(pdu[1:3], "big")), pdu[3:])
