"""One exchange as details show it: what was asked, what came back, every byte with its meaning. Plain text."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import zip_longest
from textwrap import wrap

from buswalk.domain.line.arrival import ByteMark, LineMark, Mark
from buswalk.domain.modbus.annotation import Span, annotate_reply, annotate_request
from buswalk.domain.modbus.early_words import turnaround_range, very_early_words
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.exchange import Exchange, NeverSent, Turnaround
from buswalk.domain.modbus.functions.table import function_words
from buswalk.domain.modbus.observation import (
    BytesAfter,
    BytesBefore,
    EchoDamaged,
    EchoHeard,
    ForeignFrame,
    MarksSeen,
    MaybeOld,
    Observation,
    PauseInside,
    VeryEarly,
)
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    CorruptReply,
    DamagedEcho,
    EchoOnly,
    ExceptionReply,
    ForeignReply,
    NoReply,
    NormalReply,
    NotSent,
    ShortReply,
    Stopped,
    UnexpectedReply,
)
from buswalk.ui.wording import hex_bytes, milliseconds, plural

REGISTER_AND_QUANTITY = (0x01, 0x02, 0x03, 0x04)
BYTES_A_LINE = 6
MEANING_LETTERS = 48
"""So many letters stand beside the bytes, in the widest face we know."""
MOST_LINES = 80
"""A sender without end is not shown to its end; Ctrl+Shift+C copies every byte."""
SHOWN_BYTES = 16
"""Of what came beside a frame."""
_SHORT_FUNCTIONS = {0x08: "diagnostics", 0x11: "server ID", 0x2B: "identity"}
_MARKS = {
    LineMark.FRAMING_ERROR: "framing error",
    LineMark.PARITY_ERROR: "parity error",
    LineMark.DAMAGED: "framing or parity error",
    LineMark.BREAK: "break",
    LineMark.OVERRUN: "overrun",
}


@dataclass(frozen=True, slots=True)
class BytesLine:
    """So many bytes and what they mean."""

    data: str
    meaning: str


def asked_words(exchange: Exchange) -> str:
    """Return what was asked, as short as can be: '03 at 0', '03 at 40000 × 4'; the bytes say it in full."""
    pdu = exchange.request.pdu()
    if pdu[0] in REGISTER_AND_QUANTITY and len(pdu) == 5:
        quantity = int.from_bytes(pdu[3:5], "big")
        more = f" × {quantity}" if quantity != 1 else ""
        return f"{pdu[0]:02X} at {int.from_bytes(pdu[1:3], 'big')}{more}"
    return f"{pdu[0]:02X} {_SHORT_FUNCTIONS.get(pdu[0], '')}".rstrip()


def _span(pdu: bytes) -> str:
    first, quantity = int.from_bytes(pdu[1:3], "big"), int.from_bytes(pdu[3:5], "big")
    return str(first) if quantity == 1 else f"{first} to {first + quantity - 1}"


def request_words(pdu: bytes) -> str:
    """Return a request's PDU in a few words: function, first register, quantity."""
    head = f"{pdu[0]:02X} {function_words(pdu[0])}"
    if pdu[0] in REGISTER_AND_QUANTITY and len(pdu) == 5:
        return f"{head}, {_span(pdu)}"
    return head


def came_back_words(exchange: Exchange) -> str:
    """Return what came back, in a few words."""
    match exchange.outcome:
        case NormalReply():
            return "answered"
        case ExceptionReply(exception_code=code):
            return f"refused, code {code}: {exception_meaning(code).name}"
        case NoReply(waited_s):
            return f"no reply in {milliseconds(waited_s)}"
        case CorruptReply(received, expected):
            return f"damaged: {plural(len(received), 'byte')} came, {expected} expected"
        case ShortReply(received, expected):
            return f"cut short: {len(received)} of {plural(expected, 'byte')} came"
        case ForeignReply(server_address=other):
            return f"foreign reply: from {other}"
        case UnexpectedReply(sentence=sentence):
            return f"wrong content: {sentence}"
        case EchoOnly(waited_s):
            return f"own echo only in {milliseconds(waited_s)}"
        case DamagedEcho():
            return "damaged echo: two sent at once"
        case BroadcastSent():
            return "to all, no reply due"
        case NotSent(sentence=sentence):
            return f"not sent: {sentence}"
        case Stopped():
            return "stopped while waiting"


def came_back_short(exchange: Exchange) -> str:
    """Return the same for a table: the word of the outcome and a number."""
    match exchange.outcome:
        case ExceptionReply(exception_code=code):
            return f"refused, code {code}"
        case CorruptReply(received):
            return f"damaged, {plural(len(received), 'byte')}"
        case ShortReply(received, expected):
            return f"cut short, {len(received)} of {expected}"
        case ForeignReply(server_address=other):
            return f"foreign reply, from {other}"
        case UnexpectedReply():
            return "wrong content"
        case EchoOnly():
            return "own echo only"
        case DamagedEcho():
            return "damaged echo"
        case NotSent():
            return "not sent"
        case Stopped():
            return "stopped"
        case _:
            return came_back_words(exchange)


def turnaround_range_words(exchange: Exchange) -> str:
    """Return the turnaround as far as it is known: '13 to 15 ms'; empty where there is none."""
    limits = None
    if isinstance(exchange.turnaround, Turnaround):
        limits = turnaround_range(exchange.turnaround, milliseconds)
    if limits is None:
        return ""
    low, high = limits
    return high if low == high else f"{low.removesuffix(' ms')} to {high}"


def sent_lines(exchange: Exchange) -> tuple[BytesLine, ...]:
    """Return the bytes sent, each with its meaning; none where nothing left."""
    if isinstance(exchange.sent, NeverSent):
        return ()
    return _lines(exchange.request_adu, annotate_request(exchange.request_adu))


def received_lines(exchange: Exchange) -> tuple[BytesLine, ...]:
    """Return the bytes that came back in answer, each with its meaning."""
    data = reply_bytes(exchange)
    return _lines(data, annotate_reply(exchange.request, data))


def reply_bytes(exchange: Exchange) -> bytes:
    """Return the bytes that decided the outcome, echo and strays taken off."""
    match exchange.outcome:
        case NormalReply(adu=adu) | ExceptionReply(adu=adu) | ForeignReply(adu=adu) | UnexpectedReply(adu=adu):
            return adu
        case CorruptReply(received=received) | ShortReply(received=received) | Stopped(received=received):
            return received
        case DamagedEcho(heard=heard):
            return heard
        case _:
            return b""


def _lines(frame: bytes, spans: tuple[Span, ...]) -> tuple[BytesLine, ...]:
    lines = [
        line for one in spans for line in _span_lines(frame[one.offset : one.offset + one.byte_count], one.meaning)
    ]
    return tuple(lines[:MOST_LINES])


def _span_lines(data: bytes, meaning: str) -> list[BytesLine]:
    """Return a span in lines of six bytes, its meaning broken into lines beside them."""
    pieces = [hex_bytes(data[at : at + BYTES_A_LINE]) for at in range(0, len(data), BYTES_A_LINE)]
    words = meaning if len(pieces) < 2 else f"{meaning}, {plural(len(data), 'byte')}"
    lines = zip_longest(pieces, wrap(words, MEANING_LETTERS), fillvalue="")
    return [BytesLine(piece, part) for piece, part in lines]


def observation_words(one: Observation) -> str:
    """Return one observation as a sentence without a full stop."""
    match one:
        case EchoHeard(byte_count):
            return f"Our own request came back first ({plural(byte_count, 'byte')}): the adapter hears itself"
        case EchoDamaged(heard):
            return f"Our own request came back changed: {hex_bytes(heard)}"
        case BytesBefore(data):
            return f"Before the reply: {hex_bytes(data[:SHOWN_BYTES])}"
        case BytesAfter(data):
            return f"Behind the reply: {hex_bytes(data[:SHOWN_BYTES])}"
        case ForeignFrame(adu):
            return f"A whole frame of address {adu[0]} beside it: {hex_bytes(adu[:SHOWN_BYTES])}"
        case PauseInside(after_byte, not_less_than_s):
            return f"A pause of at least {milliseconds(not_less_than_s)} after byte {after_byte}"
        case MarksSeen(marks):
            return "Marked by the receiver: " + ", ".join(_mark_words(mark) for mark in marks)
        case VeryEarly() as early:
            words = very_early_words(early, milliseconds)
            return words[0].upper() + words[1:]
        case MaybeOld(number):
            return f"It could be the late answer to exchange {number}: doubt the value"


def _mark_words(mark: Mark) -> str:
    if isinstance(mark, ByteMark):
        return f"{_MARKS[mark.mark]} on byte {mark.offset + 1}"
    return f"{mark.count} x {_MARKS[mark.mark]}, place not known"
