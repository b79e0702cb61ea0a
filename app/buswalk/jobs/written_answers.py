"""What a device said to a write. It is no proof: only reading back is."""

from __future__ import annotations

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    EchoOnly,
    ExceptionReply,
    ForeignReply,
    NoReply,
    NormalReply,
    NotSent,
)
from buswalk.domain.registers.writing.events import WriteAnswer

ILLEGAL_FUNCTION = 0x01
"""Application V1.1b3, 7."""


def exception_code_of(exchange: Exchange) -> int:
    """Return the code of a refusal; 0 where it was none."""
    return exchange.outcome.exception_code if isinstance(exchange.outcome, ExceptionReply) else 0


def answer_of(exchange: Exchange) -> WriteAnswer:
    """Return what came, as far as it matters for a write."""
    match exchange.outcome:
        case NormalReply():
            return WriteAnswer.CONFIRMED
        case ExceptionReply():
            return WriteAnswer.REFUSED
        case NoReply() | EchoOnly():
            return WriteAnswer.SILENT
        case BroadcastSent():
            return WriteAnswer.NOBODY_ANSWERS
        case ForeignReply():
            return WriteAnswer.FROM_ANOTHER
        case NotSent():
            return WriteAnswer.NOT_SENT
        case _:
            return WriteAnswer.DAMAGED
