"""What each byte of a frame means, in words. Works for damaged frames too and then says as much as can be said."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.annotation_fields import Field, bit_words, numbered, reply_fields, request_fields
from buswalk.domain.modbus.crc16 import crc_bytes
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.functions.table import function_row, function_words
from buswalk.domain.modbus.request import Request

REGISTER_READS = (0x03, 0x04)
BIT_READS = (0x01, 0x02)
SHORTEST_WITH_CRC = 4


@dataclass(frozen=True, slots=True)
class Span:
    """So many bytes from `offset` on, and what they mean."""

    offset: int
    byte_count: int
    meaning: str


def annotate_request(adu: bytes) -> tuple[Span, ...]:
    """Return the meaning of a request frame, byte by byte."""
    return (*_head(adu), *_placed(request_fields(adu[1], adu[2:-2])), *_check(adu))


def annotate_reply(request: Request, adu: bytes) -> tuple[Span, ...]:
    """Return the meaning of bytes that came in answer to a request."""
    if len(adu) < 2:
        return (Span(0, len(adu), "too short to be a frame"),) if adu else ()
    spans = list(_head(adu))
    if len(adu) == SHORTEST_WITH_CRC:
        return (*spans, *_check(adu))
    if adu[1] & EXCEPTION_BIT and len(adu) >= 3:
        meaning = exception_meaning(adu[2])
        spans.append(Span(2, 1, f"exception {adu[2]:02X}, {meaning.name}: {meaning.tells}"))
        return (*spans, *_check(adu))
    if adu[1] in (*REGISTER_READS, *BIT_READS) and len(adu) >= 3:
        spans.append(Span(2, 1, f"byte count {adu[2]}"))
        spans.extend(_read_data(request, adu))
    elif len(adu) > SHORTEST_WITH_CRC:
        spans.extend(_placed(reply_fields(adu[1], adu[2:-2])))
    return (*spans, *_check(adu))


def _placed(fields: list[Field]) -> list[Span]:
    """Give fields behind the function code their places."""
    spans, at = [], 2
    for field in fields:
        spans.append(Span(at, field.byte_count, field.meaning))
        at += field.byte_count
    return spans


def _head(adu: bytes) -> tuple[Span, ...]:
    function = adu[1] & ~EXCEPTION_BIT
    refused = " refused" if adu[1] & EXCEPTION_BIT else ""
    known = function_words(function) if function_row(function) else "not known"
    return Span(0, 1, f"server address {adu[0]}"), Span(1, 1, f"function {function:02X}{refused}, {known}")


def _read_data(request: Request, adu: bytes) -> list[Span]:
    data = adu[3:-2]
    first = int.from_bytes(request.pdu()[1:3], "big")
    if adu[1] in BIT_READS:
        return [Span(3, len(data), f"bits from {first} on, lowest first: {bit_words(data)}")] if data else []
    spans: list[Span] = []
    for at in range(0, len(data) - 1, 2):
        value = int.from_bytes(data[at : at + 2], "big")
        spans.append(Span(3 + at, 2, f"register {numbered(first + at // 2)} = {numbered(value)}"))
    if len(data) % 2:
        spans.append(Span(3 + len(data) - 1, 1, "half a register"))
    return spans


def _check(adu: bytes) -> tuple[Span, ...]:
    if len(adu) < SHORTEST_WITH_CRC:
        return ()
    right = crc_bytes(adu[:-2])
    verdict = "CRC, right" if adu[-2:] == right else f"CRC, should be {right.hex(' ').upper()}"
    return (Span(len(adu) - 2, 2, verdict),)
