"""The sentence of the strip for each outcome: two lines that fit its panel. Plain Python."""

from __future__ import annotations

from buswalk.domain.modbus.exception_code import exception_meaning
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
from buswalk.ui.strip.slots import Sentence
from buswalk.ui.wording import hex_bytes, milliseconds, plural, stamp

LONGEST_WORDS = 30
"""Of the second line in characters, in the widest face we know."""
SHOWN_BYTES = 4
_SHORT_MEANINGS = {0x0A: "gateway path unavailable", 0x0B: "silent behind a gateway"}
LINE_QUIET = Sentence(None, "Line quiet", "nothing asked yet")


def exchange_sentence(exchange: Exchange, kind: OutcomeKind, history: str) -> Sentence:
    """Return the words for an exchange; `history` is what is said of an address that does not answer."""
    address = exchange.server_address
    who = f"{address} {kind.word}"
    match exchange.outcome:
        case NormalReply():
            return Sentence(kind, who, f"{_turnaround(exchange)} · {exchange.settings}")
        case ExceptionReply(exception_code=code):
            meaning = _SHORT_MEANINGS.get(code, exception_meaning(code).name)
            return Sentence(kind, f"{who}, code {code}", meaning, who, f"code {code}", code)
        case NoReply(waited_s) if kind is OutcomeKind.SILENT_AS_EXPECTED:
            wait = milliseconds(waited_s)
            return Sentence(
                kind, who, f"{exchange.settings} · waited {wait}", f"{address} silent", f"as expected · {wait}"
            )
        case NoReply(waited_s):
            wait = milliseconds(waited_s)
            return Sentence(kind, f"{who} in {wait}", history, who, f"in {wait}")
        case CorruptReply(received):
            return Sentence(kind, who, f"{plural(len(received), 'byte')}, CRC does not fit")
        case ShortReply(received, expected):
            return Sentence(kind, who, f"{len(received)} of {plural(expected, 'byte')} came")
        case ForeignReply(server_address=other):
            return Sentence(kind, f"{other} {kind.word}", f"came in place of {address}")
        case UnexpectedReply():
            return Sentence(kind, who, "CRC fits, not what was asked")
        case EchoOnly(waited_s):
            return Sentence(kind, who, f"nothing else in {milliseconds(waited_s)}")
        case DamagedEcho():
            return Sentence(kind, who, "two sent at the same time")
        case BroadcastSent():
            return Sentence(kind, "to all, no reply due", "sent to every device")
        case NotSent():
            return Sentence(kind, who, "the line was never quiet")
        case Stopped():
            return Sentence(kind, who, "while waiting for its reply")


def stray_beside(exchange: Exchange, data: bytes, *, is_before: bool) -> Sentence:
    """Return the words for bytes beside a good frame."""
    side = "before" if is_before else "behind"
    return Sentence(
        OutcomeKind.STRAY_BYTE,
        f"{exchange.server_address} {'stray byte' if len(data) == 1 else 'stray bytes'}",
        f"{_bytes(data)} {side} its reply",
    )


def stray_between(data: bytes) -> Sentence:
    """Return the words for bytes that nobody waited for and that make no frame."""
    return Sentence(OutcomeKind.STRAY_BYTE, plural(len(data), "stray byte"), f"{_bytes(data)} · no request")


def foreign_frame(adu: bytes) -> Sentence:
    """Return the words for a whole frame that is not ours."""
    return Sentence(
        OutcomeKind.FOREIGN_FRAME, f"{adu[0]} foreign frame", f"function {adu[1] & 0x7F:02d}, not asked by us"
    )


def late_sentence(server_address: int, late_s: float | None) -> Sentence:
    """Return the words for a late reply; how late, where its request is still known."""
    words = "to an earlier question" if late_s is None else f"came after {milliseconds(late_s)}"
    return Sentence(OutcomeKind.LATE_REPLY, f"{server_address} late reply", words)


def doubtful_sentence(server_address: int) -> Sentence:
    """Return the words for a late reply that more than one request could have."""
    return Sentence(OutcomeKind.LATE_REPLY, f"{server_address} stray frame", "fits two open questions")


def lost_sentence(last: Sentence | None, wall_time: str, last_s: float) -> Sentence:
    """Return the words while there is no port."""
    when = stamp(wall_time, last_s)
    words = f"last: {last.narrow_headline}, {when}" if last is not None and when else "nothing can be asked"
    return Sentence(
        None, "No port", words if len(words) <= LONGEST_WORDS + 4 else f"last seen {when}", is_port_gone=True
    )


def back_sentence(after: str) -> Sentence:
    """Return the words when a lost port has returned."""
    return Sentence(None, "Port is back", f"back after {after}")


def _turnaround(exchange: Exchange) -> str:
    match exchange.turnaround:
        case Turnaround(low_s, high_s):
            low, high = milliseconds(max(low_s, 0.0)), milliseconds(high_s)
            return high if low == high else f"{low.removesuffix(' ms')} to {high}"
        case _:
            return "time not known"


def _bytes(data: bytes) -> str:
    return hex_bytes(data[:SHOWN_BYTES]) + (" …" if len(data) > SHOWN_BYTES else "")
