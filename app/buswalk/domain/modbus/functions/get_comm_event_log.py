"""Function 0C: communication event log (Application V1.1b3, 6.10). Serial line only."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.get_comm_event_counter import BUSY, require_status
from buswalk.domain.modbus.functions.reply_checks import require_byte_count, require_function
from buswalk.domain.modbus.request import (
    AtLeast,
    Effect,
    KnownLength,
    ReplyLength,
    WrongReply,
    WrongReplyReason,
)

FUNCTION_CODE = 0x0C
SMALLEST_BYTE_COUNT = 6
MOST_EVENTS = 64


@dataclass(frozen=True, slots=True)
class CommEventLog:
    """Counters and up to 64 event bytes, the newest first."""

    is_busy: bool
    event_count: int
    message_count: int
    events: bytes


@dataclass(frozen=True, slots=True)
class GetCommEventLog:
    """Ask for the event log."""

    @property
    def function_code(self) -> int:
        """0x0C."""
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
            return AtLeast(2 + SMALLEST_BYTE_COUNT)
        return KnownLength(2 + so_far[1])

    def parse_reply(self, pdu: bytes) -> CommEventLog:
        """Return counters and events."""
        require_function(pdu, FUNCTION_CODE)
        data = require_byte_count(pdu, pdu[1] if len(pdu) > 1 else 0)
        if not SMALLEST_BYTE_COUNT <= len(data) <= SMALLEST_BYTE_COUNT + MOST_EVENTS:
            raise WrongReply(
                WrongReplyReason.NOT_A_LEGAL_REPLY, f"an event log has 6 to 70 bytes of data, not {len(data)}"
            )
        status = int.from_bytes(data[:2], "big")
        require_status(status)
        return CommEventLog(
            status == BUSY, int.from_bytes(data[2:4], "big"), int.from_bytes(data[4:6], "big"), data[6:]
        )


def parse_request(pdu: bytes) -> GetCommEventLog:
    """Return the request that these bytes are.

    Raises:
        ValueError: Wrong length.
    """
    if len(pdu) != 1:
        raise ValueError("a request for the event log is its function code alone")
    return GetCommEventLog()
