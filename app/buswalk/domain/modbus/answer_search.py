"""Looks for the answer to one request in the bytes behind the echo. Knows no times and no echo.

A frame is taken by its length, never because "the CRC fits so far": the reply `01 04 02 03 01 78 00` has a right CRC
after six bytes too. At each offset where the address asked stands, these lengths are tried: the one that the request
fixes, that of a refusal, and the one that the bytes themselves state.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.modbus.adu import ADDRESS_AND_CRC_BYTES, EXCEPTION_ADU_BYTES, EXCEPTION_BIT, LARGEST_ADU_BYTES
from buswalk.domain.modbus.crc16 import crc16
from buswalk.domain.modbus.functions.table import function_row, pdu_length
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply, UnexpectedReply
from buswalk.domain.modbus.question import Question
from buswalk.domain.modbus.request import AtLeast, KnownLength, NoReplyDue, WrongReply, WrongReplyReason

RightAnswer: TypeAlias = NormalReply | ExceptionReply


@dataclass(frozen=True, slots=True)
class Answer:
    """A whole frame from the address asked, from `offset` on in the bytes searched."""

    offset: int
    outcome: RightAnswer | UnexpectedReply

    @property
    def end(self) -> int:
        """Offset of the first byte behind it."""
        return self.offset + len(self.outcome.adu)

    @property
    def is_right(self) -> bool:
        """Whether it answers the request, if only by refusing."""
        return not isinstance(self.outcome, UnexpectedReply)


@dataclass(frozen=True, slots=True)
class OpenHead:
    """A head that could become the answer; so many bytes are missing at least."""

    offset: int
    missing_bytes: int


@dataclass(frozen=True, slots=True)
class SearchResult:
    """What stands in the bytes: the best whole frame, if any, and the first head still open, if any."""

    answer: Answer | None
    open_head: OpenHead | None


def search_answer(question: Question, data: bytes) -> SearchResult:
    """Look at every offset; a right answer beats a wrong one, an earlier one a later one."""
    if not question.reply_is_due:
        return SearchResult(None, None)
    wrong: Answer | None = None
    open_head: OpenHead | None = None
    at = data.find(question.server_address)
    while at >= 0:
        found = _at_offset(question, data, at)
        if isinstance(found, Answer) and found.is_right:
            return SearchResult(found, open_head)
        if isinstance(found, Answer) and wrong is None:
            wrong = found
        if isinstance(found, OpenHead) and open_head is None:
            open_head = found
        at = data.find(question.server_address, at + 1)
    return SearchResult(wrong, open_head)


def _at_offset(question: Question, data: bytes, at: int) -> Answer | OpenHead | None:
    available = len(data) - at
    if available < 2:
        return OpenHead(at, question.least_reply_bytes - available)
    function, asked = data[at + 1], question.request.function_code
    if function == asked | EXCEPTION_BIT:
        return _refusal(data, at)
    if function == asked:
        return _same_function(question, data, at)
    return _other_function(question, data, at)


def _refusal(data: bytes, at: int) -> Answer | OpenHead | None:
    adu = data[at : at + EXCEPTION_ADU_BYTES]
    if len(adu) < EXCEPTION_ADU_BYTES:
        return OpenHead(at, EXCEPTION_ADU_BYTES - len(adu))
    return Answer(at, ExceptionReply(adu, adu[2])) if crc16(adu) == 0 else None


def _same_function(question: Question, data: bytes, at: int) -> Answer | OpenHead | None:
    body = data[at + 1 : at + LARGEST_ADU_BYTES]
    match question.request.reply_length(body):
        case KnownLength(pdu_bytes):
            expected = pdu_bytes + ADDRESS_AND_CRC_BYTES
        case AtLeast(pdu_bytes):
            needed = pdu_bytes + ADDRESS_AND_CRC_BYTES
            if needed > LARGEST_ADU_BYTES:
                return None
            return OpenHead(at, max(1, needed - (len(data) - at)))
        case NoReplyDue():
            return None
    adu = data[at : at + expected]
    if expected > LARGEST_ADU_BYTES:
        return None
    if len(adu) < expected:
        # A frame that states fewer bytes than were asked for may already be whole: a wrong answer, known at the end.
        stated = _stated_frame(question, data, at)
        return stated if stated is not None else OpenHead(at, expected - len(adu))
    if crc16(adu) == 0:
        return _judged(question, adu, at)
    stated_bytes = _stated_length(data, at)
    if stated_bytes > expected and len(data) - at < stated_bytes:
        return OpenHead(at, stated_bytes - (len(data) - at))
    return _stated_frame(question, data, at)


def _judged(question: Question, adu: bytes, at: int) -> Answer:
    try:
        reply = question.request.parse_reply(adu[1:-2])
    except WrongReply as wrong:
        return Answer(at, UnexpectedReply(adu, wrong.reason, wrong.sentence))
    return Answer(at, NormalReply(adu, reply))


def _stated_length(data: bytes, at: int) -> int:
    """Return the length that the bytes state of themselves, address and CRC included; 0 if they do not."""
    function = data[at + 1]
    if function & EXCEPTION_BIT:
        return EXCEPTION_ADU_BYTES
    row = function_row(function)
    if row is None:
        return 0
    match pdu_length(row.reply_length, data[at + 1 : at + LARGEST_ADU_BYTES]):
        case KnownLength(pdu_bytes) if pdu_bytes + ADDRESS_AND_CRC_BYTES <= LARGEST_ADU_BYTES:
            return pdu_bytes + ADDRESS_AND_CRC_BYTES
        case _:
            return 0


def _stated_frame(question: Question, data: bytes, at: int) -> Answer | None:
    stated = _stated_length(data, at)
    adu = data[at : at + stated]
    if not stated or len(adu) < stated or crc16(adu) != 0:
        return None
    return _judged(question, adu, at)


def _other_function(question: Question, data: bytes, at: int) -> Answer | None:
    """Never keeps the exchange open: it cannot be the answer, and noise must not hold it up."""
    stated = _stated_length(data, at)
    adu = data[at : at + stated]
    if not stated or len(adu) < stated or crc16(adu) != 0:
        return None
    asked = question.request.function_code
    sentence = f"asked with function {asked:02X}, answered with function {adu[1]:02X}"
    return Answer(at, UnexpectedReply(adu, WrongReplyReason.OTHER_FUNCTION, sentence))
