"""What bytes of a frame mean, short enough to stand under their boxes; in full in `Brace.told`."""

from __future__ import annotations

from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.annotation import Span, annotate_reply, annotate_request
from buswalk.domain.modbus.crc16 import crc_bytes, has_right_crc
from buswalk.domain.modbus.request import Request
from buswalk.ui.pages.faults.exchange_state import Brace
from buswalk.ui.tones import Tone

READS = (0x01, 0x02, 0x03, 0x04)
_FUNCTIONS = {
    **dict.fromkeys(READS, "read"),
    **dict.fromkeys((0x05, 0x06, 0x0F, 0x10, 0x16), "write"),
    0x08: "diag.",
    0x11: "server ID",
    0x2B: "identity",
}
MOST_VALUES = 16
"""So many values have a brace of their own; a longer reply has one for the rest."""


def request_braces(adu: bytes) -> tuple[Brace, ...]:
    """Return the braces of a request."""
    braces = [_brace(one, _short(adu, one)) for one in annotate_request(adu)]
    if adu[1] in READS and len(adu) == 8:
        first, quantity = int.from_bytes(adu[2:4], "big"), int.from_bytes(adu[4:6], "big")
        what = "bits" if adu[1] in (0x01, 0x02) else "reg."
        short = {2: f"from {first}", 4: f"{quantity} {what}"}
        braces = [_renamed(one, short.get(one.first, one.words)) for one in braces]
    return tuple(braces)


def reply_braces(request: Request, adu: bytes) -> tuple[Brace, ...]:
    """Return the braces of a reply that is whole, or taken as whole."""
    spans = annotate_reply(request, adu)
    if len(spans) > MOST_VALUES + 4:
        spans = _joined(spans)
    return tuple(_brace(one, _short(adu, one)) for one in spans)


def crc_brace(data: bytes, first: int) -> Brace:
    """Return the brace of two bytes that stand where a CRC ought to; it says when it does not fit."""
    is_right = has_right_crc(data)
    told = "CRC, right" if is_right else f"CRC, should be {crc_bytes(data[:-2]).hex(' ').upper()}"
    return Brace(first, 2, "CRC", told, Tone.INK2 if is_right else Tone.FAULT)


def moved(brace: Brace, by: int) -> Brace:
    """Return the same so many boxes further on."""
    return Brace(brace.first + by, brace.count, brace.words, brace.told, brace.tone)


def _renamed(brace: Brace, words: str) -> Brace:
    return Brace(brace.first, brace.count, words, brace.told, brace.tone)


def _brace(span: Span, words: str) -> Brace:
    tone = Tone.FAULT if span.meaning.startswith("CRC, should") else Tone.INK2
    return Brace(span.offset, span.byte_count, words, span.meaning, tone)


def _short(adu: bytes, span: Span) -> str:
    """Return few letters: at most about six a byte."""
    if span.offset == 0 and span.byte_count == 1:
        return str(adu[0])
    if span.offset == 1:
        return "refused" if adu[1] & EXCEPTION_BIT else _FUNCTIONS.get(adu[1], f"fn. {adu[1]:02X}")
    if span.meaning.startswith("CRC"):
        return "CRC"
    if span.meaning.startswith("byte count"):
        return f"size {adu[span.offset]}"
    if span.meaning.startswith("exception"):
        return f"code {adu[span.offset]}"
    if span.meaning.startswith("register") and " = " in span.meaning:
        return str(int.from_bytes(adu[span.offset : span.offset + 2], "big"))
    if span.meaning.startswith("bits from"):
        return "bits"
    return span.meaning if len(span.meaning) <= 6 * span.byte_count else "data"


def _joined(spans: tuple[Span, ...]) -> tuple[Span, ...]:
    """Put the last values into one span, so that no more braces are drawn than eyes can follow."""
    head, rest, check = spans[: MOST_VALUES + 3], spans[MOST_VALUES + 3 : -1], spans[-1:]
    count = sum(one.byte_count for one in rest)
    told = "; ".join(one.meaning for one in rest)
    return (*head, *((Span(rest[0].offset, count, told),) if rest else ()), *check)
