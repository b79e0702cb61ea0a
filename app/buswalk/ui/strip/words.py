"""The sentence of the strip for each outcome: two lines that fit its panel. Plain Python."""

from __future__ import annotations

from buswalk.domain.modbus.early_words import turnaround_range
from buswalk.domain.modbus.exchange import Exchange, Turnaround
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
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.strip.answer_history import AskedAnswered
from buswalk.ui.strip.slots import Sentence
from buswalk.ui.wording import hex_bytes, milliseconds, plural, stamp

SHOWN_BYTES = 4
SHOWN_BYTES_BESIDE_WORDS = 2
LONG_LAST = 21
"""Characters of a headline that still fit between 'last: ' and a time of day."""
_MEANINGS = {
    0x01: ("illegal function", "illegal function"),
    0x02: ("illegal data address", "illegal address"),
    0x03: ("illegal data value", "illegal value"),
    0x04: ("server device failure", "device failure"),
    0x05: ("acknowledged, needs long", "needs long"),
    0x06: ("server device busy", "device busy"),
    0x07: ("negative acknowledge", "cannot do this"),
    0x08: ("memory parity error", "memory parity"),
    0x0A: ("gateway path unavailable", "gateway path"),
    0x0B: ("silent behind a gateway", "silent gateway"),
}
_NOT_STANDARD = ("not in the standard", "not standard")
LINE_QUIET = Sentence(None, "Line quiet", "nothing asked yet")


def exchange_sentence(exchange: Exchange, kind: OutcomeKind, history: AskedAnswered) -> Sentence:
    """Return the words for an exchange; `history` is told of an address that does not answer."""
    address = exchange.server_address
    who = f"{address} {kind.word}"
    match exchange.outcome:
        case NormalReply():
            taken = _turnaround(exchange)
            return Sentence(kind, who, f"{taken} · {exchange.settings}", "", taken)
        case ExceptionReply(exception_code=code):
            meaning, short = _MEANINGS.get(code, _NOT_STANDARD)
            return Sentence(kind, f"{who}, code {code}", meaning, who, f"{code}: {short}", code)
        case NoReply(waited_s) if kind is OutcomeKind.SILENT_AS_EXPECTED:
            wait = milliseconds(waited_s)
            words = f"{exchange.settings} · waited {wait}"
            return Sentence(kind, who, words, f"{address} silent", f"as expected · {wait}")
        case NoReply(waited_s):
            wait = milliseconds(waited_s)
            return Sentence(kind, f"{who} in {wait}", history.words, who, f"in {wait}, {history.short_words}")
        case CorruptReply(received):
            return Sentence(kind, who, f"{plural(len(received), 'byte')}, CRC does not fit", "", "CRC does not fit")
        case ShortReply(received, expected):
            return Sentence(kind, who, f"{len(received)} of {plural(expected, 'byte')} came")
        case ForeignReply(server_address=other):
            return Sentence(kind, f"{other} {kind.word}", f"came in place of {address}", "", f"in place of {address}")
        case UnexpectedReply():
            return Sentence(kind, who, "CRC fits, not what was asked", "", "not what was asked")
        case EchoOnly(waited_s):
            wait = milliseconds(waited_s)
            return Sentence(kind, who, f"nothing else in {wait}", f"{address} own echo", f"only, in {wait}")
        case DamagedEcho():
            return Sentence(kind, who, "two sent at the same time", "", "two sent at once")
        case BroadcastSent():
            return Sentence(kind, "to all, no reply due", "sent to every device", "to all", "no reply due")
        case NotSent():
            return Sentence(kind, who, "the line was never quiet", "", "line never quiet")
        case Stopped():
            return Sentence(kind, who, "while waiting for its reply", "", "while waiting")


def stray_beside(exchange: Exchange, data: bytes, *, is_before: bool) -> Sentence:
    """Return the words for bytes beside a good frame."""
    side = "before" if is_before else "behind"
    who = f"{exchange.server_address} {'stray byte' if len(data) == 1 else 'stray bytes'}"
    short = f"{_bytes(data, SHOWN_BYTES_BESIDE_WORDS)} {side} reply"
    return Sentence(OutcomeKind.STRAY_BYTE, who, f"{_bytes(data)} {side} its reply", "", short)


def stray_between(data: bytes) -> Sentence:
    """Return the words for bytes that nobody waited for and that make no frame."""
    return Sentence(
        OutcomeKind.STRAY_BYTE, plural(len(data), "stray byte"), f"{_bytes(data)} · no request", "", _bytes(data)
    )


def foreign_frame(adu: bytes) -> Sentence:
    """Return the words for a whole frame that is not ours."""
    function = f"function {adu[1] & 0x7F:02d}"
    return Sentence(OutcomeKind.FOREIGN_FRAME, f"{adu[0]} foreign frame", f"{function}, not asked by us", "", function)


def late_sentence(server_address: int, late_s: float | None) -> Sentence:
    """Return the words for a late reply; how long after the wait had ended, where its request is still known."""
    if late_s is None:
        return Sentence(
            OutcomeKind.LATE_REPLY, f"{server_address} late reply", "to an earlier question", "", "to one before"
        )
    late = milliseconds(late_s)
    return Sentence(
        OutcomeKind.LATE_REPLY, f"{server_address} late reply", f"{late} after the wait", "", f"{late} too late"
    )


def doubtful_sentence(server_address: int) -> Sentence:
    """Return the words for a late reply that more than one request could have."""
    who = f"{server_address} stray frame"
    return Sentence(OutcomeKind.LATE_REPLY, who, "fits two open questions", "", "fits two questions")


def lost_sentence(last: Sentence | None, wall_time: str, last_s: float) -> Sentence:
    """Return the words while there is no port."""
    when = stamp(wall_time, last_s)
    if last is None or not when:
        return Sentence(None, "No port", "nothing can be asked", is_port_gone=True)
    is_short = len(last.narrow_headline) + len(when) <= LONG_LAST
    words = f"last: {last.narrow_headline}, {when}" if is_short else f"last outcome at {when}"
    return Sentence(None, "No port", words, "", f"last at {when}", is_port_gone=True)


def back_sentence(after: str) -> Sentence:
    """Return the words when a lost port has returned."""
    return Sentence(None, "Port is back", f"back after {after}")


def _turnaround(exchange: Exchange) -> str:
    match exchange.turnaround:
        case Turnaround() as seen:
            limits = turnaround_range(seen, milliseconds)
            if limits is None:
                return "came too early"
            low, high = limits
            return high if low == high else f"{low.removesuffix(' ms')} to {high}"
        case _:
            return "time not known"


def _bytes(data: bytes, shown: int = SHOWN_BYTES) -> str:
    return hex_bytes(data[:shown]) + (" …" if len(data) > shown else "")
