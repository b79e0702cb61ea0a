"""Tells our own transmission, heard back, from what others sent.

Why care: the confirmation of a single write is byte for byte the request, so an adapter that hears itself makes every
write look confirmed. Rules, in this order:

- known not to hear itself: nothing is echo.
- the request stands at the head and could not be its own reply: echo.
- it could be its own reply: two copies are echo and reply; of one copy the time decides, where the port spends wire
  time. Echo ends when our sending ends; a reply cannot be whole before it has been sent in full. Where the time leaves
  it open, a port known to hear itself, or not yet known, gets "echo": to believe a write that nobody confirmed is the
  worse mistake. Without wire time, and with nothing known, one copy is a reply.
- bytes that surely came while we were still sending, or the first ones of a port known to hear itself, and that are
  alike to the request: damaged echo.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import Echo
from buswalk.domain.modbus.question import Question
from buswalk.domain.modbus.request import WrongReply

MOST_STRAY_BYTES_BEFORE_ECHO = 3
LEAST_SHARE_ALIKE = 0.5
LEAST_BYTES_OF_DAMAGED_ECHO = 3


@dataclass(frozen=True, slots=True)
class EchoSplit:
    """How the bytes of an exchange divide: stray ones, the echo, the rest.

    Attributes:
        before: Bytes in front of the echo; empty without echo.
        echo: Our own bytes heard back; empty if there are none.
        is_damaged: The echo differs from what was sent.
        rest_from: Offset of the first byte behind it.
        may_grow: More bytes may still complete the echo.
    """

    before: bytes
    echo: bytes
    is_damaged: bool
    rest_from: int
    may_grow: bool


_NO_ECHO = EchoSplit(b"", b"", is_damaged=False, rest_from=0, may_grow=False)


def split_echo(question: Question, arrivals: Sequence[Arrival], received: bytes) -> EchoSplit:
    """Divide what was received so far; `received` is the arrivals' bytes joined."""
    if question.echo is Echo.NOT_HEARD or not received:
        return _NO_ECHO
    sent = question.request_adu
    at = received.find(sent, 0, len(sent) + MOST_STRAY_BYTES_BEFORE_ECHO)
    if at >= 0:
        end = at + len(sent)
        is_lone_copy = received[end : end + len(sent)] != sent
        if is_lone_copy and _is_its_own_reply(question) and _whole_copy_is_a_reply(question, arrivals, end):
            return _NO_ECHO
        return EchoSplit(received[:at], sent, is_damaged=False, rest_from=end, may_grow=False)
    # With nothing known, the first bytes of an echo look like those of a reply: only time can tell them apart.
    if question.echo is Echo.HEARD and len(received) < len(sent) and sent.startswith(received):
        return EchoSplit(b"", received, is_damaged=False, rest_from=len(received), may_grow=True)
    return _damaged(question, arrivals, received)


def _is_its_own_reply(question: Question) -> bool:
    try:
        question.request.parse_reply(question.request_adu[1:-2])
    except WrongReply:
        return False
    return question.reply_is_due


def _whole_copy_is_a_reply(question: Question, arrivals: Sequence[Arrival], end: int) -> bool:
    """Decide of a lone copy of the request, ending at byte `end`, whether it is the reply."""
    if not question.traits.spends_wire_time:
        return question.echo is not Echo.HEARD
    last = _arrival_of_byte(arrivals, end - 1)
    return last.not_before_s > question.sent.end_not_after_s


def _damaged(question: Question, arrivals: Sequence[Arrival], received: bytes) -> EchoSplit:
    sent = question.request_adu
    during = _bytes_during_sending(question, arrivals)
    if question.echo is Echo.HEARD:
        during = max(during, min(len(sent), len(received)))
    heard = received[: min(during, len(sent))]
    alike = sum(one == other for one, other in zip(heard, sent, strict=False))
    if len(heard) < LEAST_BYTES_OF_DAMAGED_ECHO or alike < LEAST_SHARE_ALIKE * len(heard):
        return _NO_ECHO
    return EchoSplit(b"", heard, is_damaged=True, rest_from=len(heard), may_grow=len(heard) < len(sent))


def _bytes_during_sending(question: Question, arrivals: Sequence[Arrival]) -> int:
    """Return how many bytes surely came before our sending ended."""
    if not question.traits.spends_wire_time:
        return 0
    count = 0
    for arrival in arrivals:
        if arrival.not_after_s > question.sent.end_not_after_s:
            break
        count += len(arrival.data)
    return count


def _arrival_of_byte(arrivals: Sequence[Arrival], offset: int) -> Arrival:
    seen = 0
    for arrival in arrivals:
        seen += len(arrival.data)
        if offset < seen:
            return arrival
    raise ValueError(f"byte {offset} has not arrived")
