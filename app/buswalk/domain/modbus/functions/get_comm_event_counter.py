"""Function 0B: communication event counter (Application V1.1b3, 6.9). Serial line only."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.functions.reply_checks import require_function, require_length
from buswalk.domain.modbus.request import Effect, KnownLength, ReplyLength, WrongReply, WrongReplyReason

FUNCTION_CODE = 0x0B
BUSY = 0xFFFF
READY = 0x0000


@dataclass(frozen=True, slots=True)
class CommEventCounter:
    """Whether an earlier command is still being worked on, and how many messages were completed."""

    is_busy: bool
    event_count: int


@dataclass(frozen=True, slots=True)
class GetCommEventCounter:
    """Ask for the counter of completed messages."""

    @property
    def function_code(self) -> int:
        """0x0B."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Diagnoses."""
        return Effect.DIAGNOSES

    def pdu(self) -> bytes:
        """Function alone."""
        return bytes([FUNCTION_CODE])

    def reply_length(self, so_far: bytes) -> ReplyLength:  # noqa: ARG002 - always the same
        """Function, status, count."""
        return KnownLength(5)

    def parse_reply(self, pdu: bytes) -> CommEventCounter:
        """Return status and count."""
        require_function(pdu, FUNCTION_CODE)
        require_length(pdu, 5)
        status = int.from_bytes(pdu[1:3], "big")
        require_status(status)
        return CommEventCounter(status == BUSY, int.from_bytes(pdu[3:5], "big"))


def require_status(status: int) -> None:
    """Refuse a status word other than 0000 and FFFF (6.9, 6.10)."""
    if status not in (BUSY, READY):
        raise WrongReply(WrongReplyReason.NOT_A_LEGAL_REPLY, f"the status word is 0000 or FFFF, not {status:04X}")


def parse_request(pdu: bytes) -> GetCommEventCounter:
    """Return the request that these bytes are.

    Raises:
        ValueError: Wrong length.
    """
    if len(pdu) != 1:
        raise ValueError("a request for the event counter is its function code alone")
    return GetCommEventCounter()
