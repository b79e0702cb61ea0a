"""What was heard, in words: arrivals joined into bursts by silence, and the frames in each burst named.

Two arrivals are of one burst unless a silence of t3.5 between them is sure: a slow adapter hides shorter ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.cli.exchange_words import hex_bytes, mark_words, milliseconds
from buswalk.cli.find_words import duration_words
from buswalk.cli.reply_words import count_words
from buswalk.domain.line.arrival import Arrival, ByteMark, Mark
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.listening.who_asks import RepeatedRequest, UnaskedReplies
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, EXCEPTION_BIT
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.exchange import NoTurnaround, Turnaround
from buswalk.domain.modbus.frame_splitter import Frame, Role, split
from buswalk.domain.modbus.functions.table import function_words

LARGEST_BURST_BYTES = 512
"""A sender without end is shown in pieces of this size."""
BYTES_A_LINE = 24
MARKS_A_LINE = 6
REQUESTS_SHOWN = 60
SECONDS_A_MINUTE = 60.0
START_AND_QUANTITY = frozenset({0x01, 0x02, 0x03, 0x04, 0x0F, 0x10})
"""Functions whose requests begin with a start and a quantity (Application V1.1b3, 6.1 to 6.4, 6.11, 6.12)."""
START_AND_QUANTITY_BYTES = 5


@dataclass(frozen=True, slots=True)
class Burst:
    """Bytes with no sure silence between them."""

    data: bytes
    marks: tuple[Mark, ...]
    not_before_s: float
    not_after_s: float


class BurstJoiner:
    """Takes arrivals in order and gives each burst out when its end is known."""

    def __init__(self, settings: SerialSettings) -> None:
        self._silence_s = inter_frame_delay_s(settings)
        self._open: Burst | None = None

    @property
    def silent_from_s(self) -> float | None:
        """When the open burst ends if nothing more comes; None without one."""
        return None if self._open is None else self._open.not_after_s + self._silence_s

    def take(self, arrival: Arrival) -> tuple[Burst, ...]:
        """Take one arrival; return the burst that it shows to be over, if there is one."""
        new = Burst(arrival.data, arrival.marks, arrival.not_before_s, arrival.not_after_s)
        if self._open is None:
            self._open = new
            return ()
        is_apart = arrival.not_before_s - self._open.not_after_s > self._silence_s
        if is_apart or len(self._open.data) >= LARGEST_BURST_BYTES:
            ended, self._open = self._open, new
            return (ended,)
        self._open = _joined(self._open, new)
        return ()

    def finish(self) -> tuple[Burst, ...]:
        """Return what is still open: nothing can join it any more."""
        ended, self._open = self._open, None
        return () if ended is None else (ended,)


def _joined(first: Burst, second: Burst) -> Burst:
    moved = tuple(
        ByteMark(mark.offset + len(first.data), mark.mark) if isinstance(mark, ByteMark) else mark
        for mark in second.marks
    )
    return Burst(first.data + second.data, first.marks + moved, first.not_before_s, second.not_after_s)


class FrameNamer:
    """Says of each frame whether it asks or answers; where its length fits both, what went before decides."""

    def __init__(self) -> None:
        self._asked: bytes = b""

    def role_words(self, frame: Frame) -> str:
        """Return `request`, `reply`, or that it can be either."""
        head = bytes((frame.server_address, frame.function_code & ~EXCEPTION_BIT))
        if frame.role is (Role.REQUEST | Role.REPLY):
            if self._asked == head:
                self._asked = b""
                return "reply"
            self._asked = head
            return "request (by its length it could be a reply)"
        if frame.role is Role.REPLY:
            self._asked = b""
            return "reply"
        self._asked = head
        return "request"


def burst_lines(burst: Burst, namer: FrameNamer) -> list[str]:
    """Return one burst: when it ended at the latest and how sure that is, its pieces, the receiver's marks."""
    unsure_s = burst.not_after_s - burst.not_before_s
    head = f"{burst.not_after_s:9.4f} s  {count_words(len(burst.data), 'byte')} within {milliseconds(unsure_s)}"
    lines = [head]
    for piece in split(burst.data):
        if isinstance(piece, Frame):
            lines.append(f"    {_frame_words(piece, namer)}")
            lines += _hex_lines(piece.adu)
        else:
            lines.append(f"    no frame, {count_words(len(piece.data), 'byte')}")
            lines += _hex_lines(piece.data)
    return [*lines, *_mark_lines(burst.marks)]


def _frame_words(frame: Frame, namer: FrameNamer) -> str:
    function = frame.function_code & ~EXCEPTION_BIT
    words = f"{namer.role_words(frame)}: address {frame.server_address}, function {function:02X}"
    if frame.function_code & EXCEPTION_BIT:
        code = frame.adu[2]
        return f"{words} refused with {code:02X} ({exception_meaning(code).name})"
    return f"{words} ({function_words(function)})"


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
