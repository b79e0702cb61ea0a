"""What was heard, in words: bursts with their frames while it is heard, and who asks whom at the end."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.cli.exchange_words import hex_bytes, mark_words, milliseconds
from buswalk.cli.find_words import duration_words
from buswalk.cli.live_bursts import ShownBurst
from buswalk.cli.reply_words import count_words
from buswalk.domain.line.arrival import Mark
from buswalk.domain.listening.heard_so_far import NamedFrame, Said
from buswalk.domain.listening.who_asks import RepeatedRequest, UnaskedReplies
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, EXCEPTION_BIT
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.exchange import NoTurnaround, Turnaround
from buswalk.domain.modbus.functions.table import function_words

BYTES_A_LINE = 24
MARKS_A_LINE = 6
REQUESTS_SHOWN = 60
SECONDS_A_MINUTE = 60.0
START_AND_QUANTITY = frozenset({0x01, 0x02, 0x03, 0x04, 0x0F, 0x10})
"""Functions whose requests begin with a start and a quantity (Application V1.1b3, 6.1 to 6.4, 6.11, 6.12)."""
START_AND_QUANTITY_BYTES = 5
_SAID = {
    Said.REQUEST: "request",
    Said.REPLY: "reply",
    Said.UNASKED_REPLY: "reply",
    Said.LIKELY_REQUEST: "request or reply, likelier a request",
    Said.LIKELY_REPLY: "request or reply, likelier a reply",
}


def burst_lines(shown: ShownBurst) -> list[str]:
    """Return one burst: when it ended at the latest and how sure that is, its pieces, the receiver's marks."""
    burst = shown.burst
    unsure_s = burst.not_after_s - burst.not_before_s
    head = f"{burst.not_after_s:9.4f} s  {count_words(len(burst.data), 'byte')} within {milliseconds(unsure_s)}"
    lines = [head]
    for piece in shown.pieces:
        if isinstance(piece, NamedFrame):
            lines.append(f"    {_frame_words(piece)}")
            lines += _hex_lines(piece.adu)
        else:
            lines.append(f"    no frame, {count_words(len(piece.data), 'byte')}")
            lines += _hex_lines(piece.data)
    return [*lines, *_mark_lines(burst.marks)]


def _frame_words(frame: NamedFrame) -> str:
    address, function = frame.adu[0], frame.adu[1] & ~EXCEPTION_BIT
    words = f"{_SAID[frame.said]}: address {address}, function {function:02X}"
    if frame.adu[1] & EXCEPTION_BIT:
        code = frame.adu[2]
        words = f"{words} refused with {code:02X} ({exception_meaning(code).name})"
    else:
        words = f"{words} ({function_words(function)})"
    return f"{words}; its request was not heard" if frame.said is Said.UNASKED_REPLY else words


def _hex_lines(data: bytes) -> list[str]:
    return [f"      {hex_bytes(data[at : at + BYTES_A_LINE])}" for at in range(0, len(data), BYTES_A_LINE)]


def _mark_lines(marks: tuple[Mark, ...]) -> list[str]:
    if not marks:
        return []
    shown = ", ".join(mark_words(mark) for mark in marks[:MARKS_A_LINE])
    more = f", and {len(marks) - MARKS_A_LINE} more" if len(marks) > MARKS_A_LINE else ""
    return [f"    marked by the receiver: {shown}{more}"]


def asked_lines(requests: Sequence[RepeatedRequest], unasked: Sequence[UnaskedReplies]) -> list[str]:
    """Return who is asked what, how often and how it is answered, a line a request; then replies nobody asked for."""
    lines = [f"   {_request_words(one)}: {_counts_words(one)}{_times_words(one)}" for one in requests[:REQUESTS_SHOWN]]
    hidden = len(requests) - REQUESTS_SHOWN
    if hidden > 0:
        lines.append(f"   and {count_words(hidden, 'request')} more")
    return lines + [
        f"   address {one.server_address}: {count_words(one.count, 'answer')} whose request was not heard whole"
        for one in unasked
    ]


def _request_words(one: RepeatedRequest) -> str:
    whom = f"address {one.server_address}" if one.server_address != BROADCAST_ADDRESS else "all (broadcast)"
    words = f"{whom}, function {one.function_code:02X} ({function_words(one.function_code)})"
    if one.function_code in START_AND_QUANTITY and len(one.pdu) >= START_AND_QUANTITY_BYTES:
        start, quantity = int.from_bytes(one.pdu[1:3], "big"), int.from_bytes(one.pdu[3:5], "big")
        return f"{words}, {quantity} from {start}"
    return f"{words}, {hex_bytes(one.pdu[1:])}" if len(one.pdu) > 1 else words


def _counts_words(one: RepeatedRequest) -> str:
    asked = count_words(one.asked, "request")
    if one.server_address == BROADCAST_ADDRESS:
        return f"{asked}, which nobody answers"
    refused = f", {one.refused} of them refused" if one.refused else ""
    return f"{asked}, {one.answered} answered{refused}"


def _times_words(one: RepeatedRequest) -> str:
    every = f"; every {period_words(one.period_s)}" if one.period_s else ""
    match one.turnaround:
        case Turnaround(not_less_than_s, not_more_than_s):
            return f"{every}; answers {milliseconds(not_less_than_s)} to {milliseconds(not_more_than_s)} after it"
        case NoTurnaround():
            return every


def period_words(seconds: float) -> str:
    """Return a period: ms below a second, then seconds with one decimal, minutes as they are read."""
    if seconds < 1.0:
        return milliseconds(seconds)
    return f"{seconds:.1f} s" if seconds < SECONDS_A_MINUTE else duration_words(seconds)
