"""How a search reads an exchange: answered, answered for another, or loud without an answer."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.line.arrival import ByteMark
from buswalk.domain.line.sent import Sent
from buswalk.domain.modbus.adu import EXCEPTION_ADU_BYTES, EXCEPTION_BIT
from buswalk.domain.modbus.exchange import Exchange, NeverSent
from buswalk.domain.modbus.observation import BytesAfter, BytesBefore, ForeignFrame, MarksSeen
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

LEAST_SECOND_ANSWER_BYTES = 4
"""A stray byte or two behind a reply is the pair's doing; a longer tail is somebody's."""
LEAST_DAMAGED_BYTES = 2
"""A single byte is what a floating pair makes when a driver leaves it."""


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
    """Whether something came that could be what is left of an answer; a single byte is not."""
    is_spoilt = isinstance(exchange.outcome, CorruptReply | ShortReply | UnexpectedReply)
    return is_spoilt and len(exchange.received) >= LEAST_DAMAGED_BYTES


def is_loud(exchange: Exchange) -> bool:
    """Whether bytes or marks came that do not answer the request; also that the line was never quiet."""
    if isinstance(exchange.outcome, NoReply):
        return bool(exchange.arrivals)
    spoilt = CorruptReply | ShortReply | UnexpectedReply | DamagedEcho | ForeignReply | NotSent
    return isinstance(exchange.outcome, spoilt)


def is_marked(exchange: Exchange) -> bool:
    """Whether characters of the answer itself were marked; where marks are only counted, any will do."""
    match exchange.outcome:
        case NormalReply(adu=adu) | ExceptionReply(adu=adu) | ForeignReply(adu=adu):
            begin = exchange.received.rfind(adu)
        case _:
            return False
    marks = [mark for one in exchange.observations if isinstance(one, MarksSeen) for mark in one.marks]
    return any(not isinstance(one, ByteMark) or begin <= one.offset < begin + len(adu) for one in marks)


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


def has_second_answer(exchanges: Sequence[Exchange]) -> bool:
    """A whole answer, or a tail that begins like one; another tail only if it comes twice: it may be a client's."""
    tails = 0
    for one in exchanges:
        frames = [seen.adu for seen in one.observations if isinstance(seen, ForeignFrame)]
        if any(adu[0] == one.server_address and is_answer_to(one.request, adu) for adu in frames):
            return True
        tail = b"".join(seen.data for seen in one.observations if isinstance(seen, BytesAfter))
        if len(tail) >= LEAST_SECOND_ANSWER_BYTES:
            if tail[0] == one.server_address:
                return True
            tails += 1
    return tails > 1


def is_strange(exchanges: Sequence[Exchange]) -> bool:
    """Whether the same question brought two contents, or many bytes came beside an answer: worth a closer look."""
    contents = {(one.request, one.outcome.adu) for one in exchanges if isinstance(one.outcome, NormalReply)}
    beside = [
        len(seen.data) for one in exchanges for seen in one.observations if isinstance(seen, BytesBefore | BytesAfter)
    ]
    return len(contents) > len({request for request, _ in contents}) or any(
        count >= LEAST_SECOND_ANSWER_BYTES for count in beside
    )
