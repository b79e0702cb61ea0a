"""An exchange in words: what came of it, what was seen beside it, what it means. Pure text, with units."""

from __future__ import annotations

from buswalk.cli.reply_words import count_words, reply_words
from buswalk.domain.line.arrival import ByteMark, LineMark, Mark
from buswalk.domain.modbus.adu import LARGEST_ADU_BYTES
from buswalk.domain.modbus.annotation import Span, annotate_reply, annotate_request
from buswalk.domain.modbus.early_words import BEFORE_REQUEST_ENDED, turnaround_range, very_early_words
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.exchange import Exchange, NeverSent, NoTurnaround, Turnaround
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
    NotSentReason,
    ShortReply,
    Stopped,
    UnexpectedReply,
)

SHOWN_BYTES = 64
"""Of what is longer than a frame can be."""
SPAN_BYTES = 12
"""Of one part of a frame; the whole frame stands above it."""
_MARK_WORDS = {
    LineMark.FRAMING_ERROR: "framing error",
    LineMark.PARITY_ERROR: "parity error",
    LineMark.DAMAGED: "framing or parity error",
    LineMark.BREAK: "break",
    LineMark.OVERRUN: "overrun",
}


def milliseconds(seconds: float) -> str:
    """Return a time in ms, with one decimal below 10."""
    value = seconds * 1000.0
    return f"{value:.1f} ms".replace("-", "−") if abs(value) < 10 else f"{value:.0f} ms".replace("-", "−")


def hex_bytes(data: bytes) -> str:
    """Return bytes as the trade writes them."""
    return data.hex(" ").upper()


def outcome_words(exchange: Exchange) -> str:
    """Return what came of an exchange, in a few words."""
    match exchange.outcome:
        case NormalReply():
            return "answered"
        case ExceptionReply(exception_code=code):
            return f"refused, exception {code:02X}: {exception_meaning(code).name}"
        case NoReply(waited_s):
            return f"no reply in {milliseconds(waited_s)}"
        case CorruptReply(received, expected):
            return f"damaged: {_came(received)} ({expected} expected), and no frame in them has a right CRC"
        case ShortReply(received, expected):
            return f"cut short: {len(received)} of {count_words(expected, 'byte')} came"
        case ForeignReply(server_address=address):
            return f"foreign: a frame from {address} came, and nothing right from {exchange.server_address}"
        case UnexpectedReply(sentence=sentence):
            return f"wrong content: {sentence}"
        case EchoOnly(waited_s):
            return f"only our own request came back in {milliseconds(waited_s)}: the adapter hears itself"
        case DamagedEcho():
            return "our own request came back changed: somebody else was sending at the same time"
        case BroadcastSent():
            return "sent to all; nobody may answer"
        case NotSent(sentence=sentence):
            return f"not sent: {sentence}"
        case Stopped():
            return "stopped while waiting"


_AFTER_REFUSAL = {
    0x01: "Try next: another --function, such as 03 or 04.",
    0x02: "Try next: another --register, or a smaller --quantity.",
    0x03: "Try next: a smaller --quantity.",
    0x05: "Try next: ask again after some seconds.",
    0x06: "Try next: ask again after some seconds.",
    0x0A: "Try next: look at the gateway's settings.",
    0x0B: "Try next: look for the device behind the gateway.",
}


def _came(received: bytes) -> str:
    return f"{count_words(len(received), 'byte')} came"


def meaning_words(exchange: Exchange) -> tuple[str, ...]:
    """Return what the outcome tells, and what to try next."""
    address = exchange.server_address
    match exchange.outcome:
        case NormalReply(reply=reply):
            return reply_words(reply)
        case ExceptionReply(exception_code=0x0A | 0x0B as code):
            return ("A gateway refuses in its place: the line to the gateway is right.", _AFTER_REFUSAL[code])
        case ExceptionReply(exception_code=code):
            there = "It refuses, so it is there: address, speed and framing are right."
            return (there, _AFTER_REFUSAL[code]) if code in _AFTER_REFUSAL else (there,)
        case NoReply():
            return (
                "Absent, without supply, at another address, speed or framing, or it does not know this function.",
                f"Try next: --function 04, then the command find --addresses {address}.",
            )
        case CorruptReply(received) if len(received) > LARGEST_ADU_BYTES:
            return (
                "More came than one frame can hold: somebody sends without end.",
                "Try next: the command listen; then unplug devices one by one until it stops.",
            )
        case CorruptReply():
            return (
                "Two devices at one address, noise, another framing, or a device with a wrong CRC.",
                "Try next: ask again; the same damage each time points to the device, changing damage to the line.",
            )
        case ShortReply():
            return ("It stopped, or bytes were lost. Try next: ask again; the same length each time is the device.",)
        case ForeignReply():
            return ("Another device answers in its place, or another client is alive. Try next: the command listen.",)
        case UnexpectedReply():
            return ("It may be the late answer to an earlier question. Try next: ask again with a longer --timeout.",)
        case EchoOnly():
            return (
                "The adapter works as far as the pair; nobody answered on it.",
                f"Try next: --function 04, then the command find --addresses {address}.",
            )
        case DamagedEcho():
            return ("Try next: the command listen, to see who else sends.",)
        case NotSent(reason=NotSentReason.LINE_NOT_QUIET):
            return ("Try next: the command listen, to see who it is and at which speed.",)
        case _:
            return ()


def observation_words(one: Observation) -> str:
    """Return one observation as a sentence."""
    match one:
        case EchoHeard(byte_count):
            return f"our own request came back first ({byte_count} bytes): the adapter hears itself"
        case EchoDamaged(heard):
            return f"our own request came back changed: {hex_bytes(heard)}"
        case BytesBefore(data):
            return f"before the frame: {hex_bytes(data)}"
        case BytesAfter(data):
            return f"behind the frame: {hex_bytes(data)}"
        case ForeignFrame(adu):
            return f"a whole frame of address {adu[0]} beside it: {hex_bytes(adu)}"
        case PauseInside(after_byte, not_less_than_s):
            return f"a pause of at least {milliseconds(not_less_than_s)} after byte {after_byte}"
        case MarksSeen(marks):
            return "marked by the receiver: " + ", ".join(mark_words(mark) for mark in marks)
        case VeryEarly() as early:
            return very_early_words(early, milliseconds)
        case MaybeOld(number):
            return f"it could be the late answer to request {number}: doubt the value"


def mark_words(mark: Mark) -> str:
    """Return one mark with its place."""
    if isinstance(mark, ByteMark):
        return f"{_MARK_WORDS[mark.mark]} on byte {mark.offset + 1}"
    return f"{mark.count} x {_MARK_WORDS[mark.mark]}, place not known"


def exchange_lines(exchange: Exchange) -> list[str]:
    """Return everything that can be said of one exchange, a line each."""
    lines = [
        f"{exchange.number}  address {exchange.server_address} at {exchange.settings}: {outcome_words(exchange)}",
        f"   sent      {hex_bytes(exchange.request_adu)}",
        *_span_lines(exchange.request_adu, annotate_request(exchange.request_adu)),
    ]
    if isinstance(exchange.sent, NeverSent):
        return [*lines[:1], *(f"   {sentence}" for sentence in meaning_words(exchange))]
    received = _reply_bytes(exchange)
    if len(received) > LARGEST_ADU_BYTES:
        lines.append(f"   received  {hex_bytes(received[:SHOWN_BYTES])} and {len(received) - SHOWN_BYTES} more")
    elif received:
        lines.append(f"   received  {hex_bytes(received)}")
        lines += _span_lines(received, annotate_reply(exchange.request, received))
    lines += [f"   {_turnaround_words(exchange)}"] if received else []
    lines += [f"   also      {observation_words(one)}" for one in exchange.observations]
    lines += [f"   {sentence}" for sentence in meaning_words(exchange)]
    return lines


def _turnaround_words(exchange: Exchange) -> str:
    match exchange.turnaround:
        case Turnaround() as seen:
            limits = turnaround_range(seen, milliseconds)
            if limits is None:
                return f"no turnaround: it began {BEFORE_REQUEST_ENDED}"
            return f"turnaround between {limits[0]} and {limits[1]}"
        case NoTurnaround():
            return "turnaround not known"


def _reply_bytes(exchange: Exchange) -> bytes:
    match exchange.outcome:
        case NormalReply(adu=adu) | ExceptionReply(adu=adu) | ForeignReply(adu=adu) | UnexpectedReply(adu=adu):
            return adu
        case CorruptReply(received=received) | ShortReply(received=received):
            return received
        case _:
            return b""


def _span_lines(frame: bytes, spans: tuple[Span, ...]) -> list[str]:
    return [_span_line(frame[one.offset : one.offset + one.byte_count], one.meaning) for one in spans]


def _span_line(data: bytes, meaning: str) -> str:
    if len(data) <= SPAN_BYTES:
        return f"             {hex_bytes(data):<18} {meaning}"
    return f"             {hex_bytes(data[:SPAN_BYTES])} ...   {meaning}, {count_words(len(data), 'byte')}"
