"""What was heard, in words: arrivals joined into bursts by silence, and the frames in each burst named.

Two arrivals are of one burst unless a silence of t3.5 between them is sure: a slow adapter hides shorter ones.
"""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.cli.exchange_words import hex_bytes, mark_words, milliseconds
from buswalk.cli.reply_words import count_words
from buswalk.domain.line.arrival import Arrival, ByteMark, Mark
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.frame_splitter import Frame, Role, split
from buswalk.domain.modbus.functions.table import function_words

LARGEST_BURST_BYTES = 512
"""A sender without end is shown in pieces of this size."""
BYTES_A_LINE = 24
MARKS_A_LINE = 6
ADDRESSES_SHOWN = 40


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


def frames_lines(frames: tuple[Frame, ...]) -> list[str]:
    """Return which addresses were asked and which answered, a line an address and function."""
    namer = FrameNamer()
    counts: dict[tuple[int, int], list[int]] = {}
    for frame in frames:
        seen = counts.setdefault((frame.server_address, frame.function_code & ~EXCEPTION_BIT), [0, 0, 0])
        is_reply = namer.role_words(frame) == "reply"
        seen[1 if is_reply else 0] += 1
        seen[2] += bool(frame.function_code & EXCEPTION_BIT)
    lines = []
    for (address, function), (requests, replies, refusals) in sorted(counts.items())[:ADDRESSES_SHOWN]:
        refused = f", {refusals} of them refused" if refusals else ""
        lines.append(
            f"   address {address}, function {function:02X} ({function_words(function)}): "
            f"{count_words(requests, 'request')}, {replies} answered{refused}"
        )
    hidden = len(counts) - ADDRESSES_SHOWN
    return [*lines, f"   and {hidden} more"] if hidden > 0 else lines
