"""What is heard, as bursts to be shown: each with its pieces as soon as they are decided, the same as in the summary.

Two arrivals are of one burst unless a silence of t3.5 between them is sure: a slow adapter hides shorter ones. Where a
frame has such a silence inside, the bursts on both sides are shown as one.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from buswalk.domain.line.arrival import Arrival, ByteMark, Mark
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.listening.heard_bytes import Pace
from buswalk.domain.listening.heard_so_far import HeardSoFar, NamedFrame, NamedPiece
from buswalk.domain.modbus.frame_splitter import Skipped

LARGEST_BURST_BYTES = 512
"""A sender without end is shown in pieces of about this size."""


@dataclass(frozen=True, slots=True)
class Burst:
    """Bytes with no sure silence between them."""

    data: bytes
    marks: tuple[Mark, ...]
    not_before_s: float
    not_after_s: float


@dataclass(frozen=True, slots=True)
class ShownBurst:
    """A burst with what it is made of, in order."""

    burst: Burst
    pieces: tuple[NamedPiece, ...]


class LiveBursts:
    """Takes arrivals in order and gives bursts out when it is decided what they are."""

    def __init__(self, settings: SerialSettings) -> None:
        self._silence_s = inter_frame_delay_s(settings)
        self._heard = HeardSoFar(Pace.of(settings))
        self._bursts: deque[Burst] = deque()
        self._pieces: deque[NamedPiece] = deque()
        self._waiting: list[Arrival] = []
        self._begin = self._decided = 0
        self._is_silence_told = False

    @property
    def silent_from_s(self) -> float | None:
        """From when on `take_silence` tells more if nothing comes; None where it does not."""
        if not self._bursts or self._is_silence_told:
            return None
        return self._bursts[-1].not_after_s + self._heard.silence_s

    def take(self, arrival: Arrival) -> tuple[ShownBurst, ...]:
        """Take one arrival; return the bursts that are decided by it."""
        self._is_silence_told = False
        new = Burst(arrival.data, arrival.marks, arrival.not_before_s, arrival.not_after_s)
        if not self._bursts or self._is_apart(self._bursts[-1], new):
            pieces = self._heard.take(self._handed_over())
            self._bursts.append(new)
        else:
            pieces = []
            self._bursts[-1] = joined(self._bursts[-1], new)
        self._waiting.append(arrival)
        return self._shown(pieces, behind=1)

    def take_silence(self) -> tuple[ShownBurst, ...]:
        """The line was silent for long: return the bursts that are decided by that."""
        self._is_silence_told = True
        return self._shown(self._heard.take_silence(self._handed_over()), behind=0)

    def finish(self) -> tuple[ShownBurst, ...]:
        """Return what is still open: nothing more comes."""
        return self._shown(self._heard.finish(self._handed_over()), behind=0)

    def _is_apart(self, last: Burst, new: Burst) -> bool:
        return new.not_before_s - last.not_after_s > self._silence_s or len(last.data) >= LARGEST_BURST_BYTES

    def _handed_over(self) -> list[Arrival]:
        """Return what comes next for the decoder, a whole burst: the more is known, the surer is said who asks."""
        arrivals, self._waiting = self._waiting, []
        return arrivals

    def _shown(self, pieces: list[NamedPiece], behind: int) -> tuple[ShownBurst, ...]:
        """Return all bursts that are decided, of those with so many others behind them: the last may still grow."""
        self._pieces.extend(pieces)
        if pieces:
            self._decided = max(self._decided, _end(pieces[-1]))
        shown: list[ShownBurst] = []
        while len(self._bursts) > behind and self._begin + len(self._bursts[0].data) <= self._decided:
            end = self._begin + len(self._bursts[0].data)
            across = self._frame_across(end)
            if across is not None and len(self._bursts) > 1 and len(self._bursts[0].data) < LARGEST_BURST_BYTES:
                first = self._bursts.popleft()
                self._bursts[0] = joined(first, self._bursts[0])
                continue
            if across is not None:
                self._part(across.offset - self._begin)
            shown.append(self._first())
        return tuple(shown)

    def _frame_across(self, end: int) -> NamedFrame | None:
        frames = (one for one in self._pieces if isinstance(one, NamedFrame))
        return next((one for one in frames if one.offset < end < one.end), None)

    def _part(self, at: int) -> None:
        """Part the first burst: what does not belong to its last frame is shown without it."""
        whole = self._bursts.popleft()
        front, back = parted(whole, at)
        if self._bursts:
            self._bursts[0] = joined(back, self._bursts[0])
        else:
            self._bursts.appendleft(back)
        self._bursts.appendleft(front)

    def _first(self) -> ShownBurst:
        burst = self._bursts.popleft()
        end = self._begin + len(burst.data)
        pieces: list[NamedPiece] = []
        while self._pieces and self._pieces[0].offset < end:
            piece = self._pieces.popleft()
            if isinstance(piece, Skipped) and _end(piece) > end:
                self._pieces.appendleft(Skipped(end, piece.data[end - piece.offset :]))
                piece = Skipped(piece.offset, piece.data[: end - piece.offset])
            if pieces and isinstance(piece, Skipped) and isinstance(last := pieces[-1], Skipped):
                pieces[-1] = Skipped(last.offset, last.data + piece.data)
            else:
                pieces.append(piece)
        self._begin = end
        return ShownBurst(burst, tuple(pieces))


def joined(first: Burst, second: Burst) -> Burst:
    """Return both as one; marks keep their bytes."""
    data = first.data + second.data
    return Burst(data, first.marks + _moved(second.marks, len(first.data)), first.not_before_s, second.not_after_s)


def parted(whole: Burst, at: int) -> tuple[Burst, Burst]:
    """Return both parts; of each the same is known of its times. Marks without a byte stay in front."""
    front = tuple(one for one in whole.marks if not isinstance(one, ByteMark) or one.offset < at)
    back = tuple(one for one in whole.marks if isinstance(one, ByteMark) and one.offset >= at)
    times = (whole.not_before_s, whole.not_after_s)
    return Burst(whole.data[:at], front, *times), Burst(whole.data[at:], _moved(back, -at), *times)


def _moved(marks: tuple[Mark, ...], by: int) -> tuple[Mark, ...]:
    return tuple(ByteMark(one.offset + by, one.mark) if isinstance(one, ByteMark) else one for one in marks)


def _end(piece: NamedPiece) -> int:
    return piece.end if isinstance(piece, NamedFrame) else piece.offset + len(piece.data)
