"""What is heard, given out as soon as it is decided: the frames are those that the decoder finds in the whole.

A frame is given out when no byte still to come could change that it is one. Who asks may still be open then: where a
frame is the same whether it asks or answers, what follows may tell, and until then only the likelier is known.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.listening.decoder import Decoder
from buswalk.domain.listening.heard_bytes import WALL_S, Pace
from buswalk.domain.listening.heard_exchange import (
    HeardBroadcast,
    HeardExchange,
    HeardFrame,
    HeardPiece,
    UnansweredRequest,
    UnaskedReply,
)
from buswalk.domain.modbus.frame_splitter import Skipped


class Said(Enum):
    """What can be said of a frame when it is given out."""

    REQUEST = "request"
    REPLY = "reply"
    UNASKED_REPLY = "unasked_reply"
    LIKELY_REQUEST = "likely_request"
    LIKELY_REPLY = "likely_reply"


_LIKELY = {
    Said.REQUEST: Said.LIKELY_REQUEST,
    Said.REPLY: Said.LIKELY_REPLY,
    Said.UNASKED_REPLY: Said.LIKELY_REPLY,
}


@dataclass(frozen=True, slots=True)
class NamedFrame:
    """A whole frame; `offset` counts from the first byte heard."""

    offset: int
    adu: bytes
    said: Said

    @property
    def end(self) -> int:
        """Offset behind it."""
        return self.offset + len(self.adu)


NamedPiece: TypeAlias = NamedFrame | Skipped


class HeardSoFar:
    """Takes what is heard, in order, and gives each byte out once, in order."""

    def __init__(self, pace: Pace) -> None:
        self._decoder = Decoder(pace)
        self._shown = 0
        self._not_settled: set[int] = set()
        """Offsets of frames that were given out before the decoder let go of them."""
        self.silence_s = max(WALL_S, pace.silence_s) + pace.character_s
        """After so long without a byte `take_silence` may be called."""

    def take(self, arrivals: Iterable[Arrival]) -> list[NamedPiece]:
        """Take arrivals; return what is decided now."""
        sure = self._decoder.take(arrivals)
        return self._given(sure, self._decoder.decided)

    def take_silence(self, arrivals: Iterable[Arrival] = ()) -> list[NamedPiece]:
        """Take the last arrivals before a silence of `silence_s`; return what is decided by it."""
        sure = self._decoder.take(arrivals)
        return self._given(sure, self._decoder.decided_by_silence())

    def finish(self, arrivals: Iterable[Arrival] = ()) -> list[NamedPiece]:
        """Take the last arrivals; return the rest: nothing more comes."""
        sure = [*self._decoder.take(arrivals), *self._decoder.finish()]
        return sorted(self._new(_named(sure), self._decoder.decided), key=_offset)

    def _given(self, sure: list[HeardPiece], until: int) -> list[NamedPiece]:
        given = list(self._new(_named(sure), until))
        self._not_settled -= {one.offset for one in _named(sure) if isinstance(one, NamedFrame)}
        if until > self._shown or sure:
            look = self._decoder.look(until)
            waiting = [
                NamedFrame(one.offset, one.adu, _LIKELY[one.said])
                if isinstance(one, NamedFrame) and one.offset in look.either
                else one
                for one in _named(look.pieces)
            ]
            shown = list(self._new(waiting, until))
            self._not_settled |= {one.offset for one in shown if isinstance(one, NamedFrame)}
            given += shown
        self._shown = max(self._shown, until)
        return sorted(given, key=_offset)

    def _new(self, pieces: Iterable[NamedPiece], until: int) -> Iterator[NamedPiece]:
        """Yield what was not given out yet, of the bytes before an offset."""
        for one in pieces:
            match one:
                case NamedFrame(offset=offset):
                    if one.end <= until and offset not in self._not_settled:
                        yield one
                case Skipped(offset, data):
                    begin, end = max(offset, self._shown), min(offset + len(data), until)
                    if begin < end:
                        yield Skipped(begin, data[begin - offset : end - offset])


def _offset(piece: NamedPiece) -> int:
    return piece.offset


def _named(pieces: Iterable[HeardPiece]) -> Iterator[NamedPiece]:
    for piece in pieces:
        match piece:
            case HeardExchange(request, reply, _):
                yield _frame(request, Said.REQUEST)
                yield _frame(reply, Said.REPLY)
            case UnansweredRequest(request) | HeardBroadcast(request):
                yield _frame(request, Said.REQUEST)
            case UnaskedReply(reply):
                yield _frame(reply, Said.UNASKED_REPLY)
            case Skipped():
                yield piece


def _frame(heard: HeardFrame, said: Said) -> NamedFrame:
    return NamedFrame(heard.offset, heard.adu, said)
