"""How a search reads an exchange: answered, answered for another, or loud without an answer."""

from __future__ import annotations

from buswalk.domain.line.sent import Sent
from buswalk.domain.modbus.adu import EXCEPTION_ADU_BYTES, EXCEPTION_BIT
from buswalk.domain.modbus.exchange import Exchange, NeverSent
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    DamagedEcho,
    ExceptionReply,
    ForeignReply,
    NoReply,
    NormalReply,
    NotSent,
    ShortReply,
    UnexpectedReply,
)
from buswalk.domain.modbus.request import Request, WrongReply


def request_ended_s(exchange: Exchange) -> float:
    """When the request had left, in seconds of line time; when it was given up, if it never did."""
    match exchange.sent:
        case Sent(end_not_after_s=ended_s):
            return ended_s
        case NeverSent(at_s=given_up_s):
            return given_up_s


def first_heard_s(exchange: Exchange) -> float:
    """When the first bytes of an exchange were handed over; infinity if none were."""
    return min((one.not_after_s for one in exchange.arrivals), default=float("inf"))


def is_answer(exchange: Exchange) -> bool:
    """Whether somebody answered this request, if only by refusing, or under another address."""
    return isinstance(exchange.outcome, NormalReply | ExceptionReply) or answers_as_another(exchange)


def is_damaged(exchange: Exchange) -> bool:
    """Whether something came that could be what is left of an answer."""
    return isinstance(exchange.outcome, CorruptReply | ShortReply | UnexpectedReply)


def is_loud(exchange: Exchange) -> bool:
    """Whether bytes or marks came that do not answer the request; also that the line was never quiet."""
    if isinstance(exchange.outcome, NoReply):
        return bool(exchange.arrivals)
    return is_damaged(exchange) or isinstance(exchange.outcome, DamagedEcho | ForeignReply | NotSent)


def answers_as_another(exchange: Exchange) -> bool:
    """Whether a frame of another address is a right answer to this very request, and not traffic of others."""
    if not isinstance(exchange.outcome, ForeignReply):
        return False
    return is_answer_to(exchange.request, exchange.outcome.adu)


def is_answer_to(request: Request, adu: bytes) -> bool:
    """Whether a frame, of whatever address, is a right answer to a request; a request of another client is none."""
    if adu[1] == request.function_code | EXCEPTION_BIT:
        return len(adu) == EXCEPTION_ADU_BYTES
    try:
        request.parse_reply(adu[1:-2])
    except WrongReply:
        return False
    return True
