"""Finds late replies among bytes nobody waited for, credits them, and says which replies could be old ones."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buswalk.domain.line_events import Credit, EventSink
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.frame_splitter import Frame, FrameSplitter, Piece
from buswalk.domain.modbus.observation import MaybeOld
from buswalk.jobs.asking.open_requests import OpenRequests

LATE_SPAN_FACTOR = 1.5


class LateReplies:
    """Remembers unanswered requests and the longest turnaround seen of each server.

    A late reply is known by its request, which is ours, and is told as soon as its last byte is there. So frames are
    cut by length and CRC alone: the decoder of listening would hold one back that a later byte could change, and would
    not believe one whose request it has not heard.
    """

    def __init__(self, sink: EventSink) -> None:
        self._sink = sink
        self._open = OpenRequests()
        self._splitter = FrameSplitter()
        self._last_stray_s = 0.0
        self._longest_turnaround_s: dict[int, float] = {}

    def take_stray(self, data: bytes, at_s: float) -> None:
        """Take bytes that came between exchanges; a frame may be spread over several takes."""
        self._last_stray_s = at_s
        self._credit_pieces(self._splitter.feed(data))

    def end_burst(self) -> None:
        """The line was silent: nothing can complete a frame any more, so say what is in the bytes held back."""
        self._credit_pieces(self._splitter.finish())
        self._splitter = FrameSplitter()

    def take_frames(self, adus: Iterable[bytes], at_s: float) -> None:
        """Take whole frames that were seen inside an exchange and were not its answer."""
        self._open.forget_before(at_s)
        for adu in adus:
            self._credit(adu, at_s)

    def remember(self, exchange: Exchange, sent_s: float) -> None:
        """Keep a request whose answer may still come."""
        self._open.add(exchange, sent_s)

    def forget_settings(self) -> None:
        """Replies in other settings cannot be read any more."""
        self._open.forget_settings()

    def saw_turnaround(self, server_address: int, turnaround_s: float) -> None:
        """Learn how long a server takes."""
        longest_s = self._longest_turnaround_s.get(server_address, 0.0)
        self._longest_turnaround_s[server_address] = max(longest_s, turnaround_s)

    def doubt(self, adu: bytes, asked_s: float) -> tuple[MaybeOld, ...]:
        """Mark a reply that an older request to the same server could have too.

        Silence for one and a half times the longest turnaround seen of that server closes the older one.
        """
        self._open.forget_before(asked_s)
        longest_s = self._longest_turnaround_s.get(adu[0])
        for one in self._open.that_fit(adu):
            if longest_s is None or asked_s - one.sent_s < LATE_SPAN_FACTOR * longest_s:
                return (MaybeOld(one.number),)
        return ()

    def _credit_pieces(self, pieces: Sequence[Piece]) -> None:
        self.take_frames((piece.adu for piece in pieces if isinstance(piece, Frame)), self._last_stray_s)

    def _credit(self, adu: bytes, at_s: float) -> None:
        fitting = self._open.that_fit(adu)
        late = self._open.credit(adu, at_s)
        if late is None:
            return
        if late.credit is Credit.CREDITED:
            self.saw_turnaround(late.server_address, at_s - fitting[0].sent_s)
        self._sink(late)
