"""From arrivals, or bytes alone, to exchanges of others: the decoder that listening, `listen` and fault logs use."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.frame_scan import EITHER
from buswalk.domain.listening.frame_stream import Cut, FrameStream
from buswalk.domain.listening.heard_bytes import HeardBytes, Pace
from buswalk.domain.listening.heard_exchange import HeardFrame, HeardPiece
from buswalk.domain.listening.pairing import Pairing
from buswalk.domain.modbus.adu import LARGEST_ADU_BYTES
from buswalk.domain.modbus.frame_splitter import Skipped

BYTES_A_CUT = 1 << 16
ARRIVALS_A_CUT = 1 << 15
REMEMBERED_BYTES = 2 * LARGEST_ADU_BYTES
"""Of what lies behind the last frame: enough to see a damaged frame in it, however long a line babbles."""


@dataclass(frozen=True, slots=True)
class Look:
    """What would follow if nothing more came; `either` are the offsets of frames whose role may still change."""

    pieces: list[HeardPiece]
    either: frozenset[int]


class Decoder:
    """Takes what is heard, in order, and gives out pieces as soon as no byte still to come could change them.

    `rest` is what would follow if nothing more came; a screen shows it beside what is sure.
    """

    def __init__(self, pace: Pace) -> None:
        self._stream = FrameStream(pace)
        self._pairing = Pairing()
        self._behind_last_frame = b""

    def take(self, arrivals: Iterable[Arrival]) -> list[HeardPiece]:
        """Take arrivals; return the pieces that are sure now."""
        pieces: list[HeardPiece] = []
        waiting = iter(arrivals)
        while lot := list(islice(waiting, ARRIVALS_A_CUT)):
            self._stream.heard.add(lot)
            pieces += self._advance()
        return pieces

    def take_untimed(self, data: bytes) -> list[HeardPiece]:
        """Take bytes of whose times nothing is known; return the pieces that are sure now."""
        pieces: list[HeardPiece] = []
        for at in range(0, len(data), BYTES_A_CUT):
            self._stream.heard.add_untimed(data[at : at + BYTES_A_CUT])
            pieces += self._advance()
        return pieces

    @property
    def decided(self) -> int:
        """Up to this offset it is decided for good what is a frame; who asks in the last of them may be open."""
        return self._stream.heard.begin

    def decided_by_silence(self) -> int:
        """Return up to which offset that would be so if the line were silent from now on for `WALL_S`."""
        return self._stream.decided_by_silence()

    def rest(self) -> list[HeardPiece]:
        """Return what would follow if nothing more came; nothing is changed by looking."""
        return self.look(self._stream.heard.begin).pieces

    def look(self, sure_until: int) -> Look:
        """Return the same, and of which frames what comes may still tell who asks.

        `sure_until` is the offset up to which it is decided what is a frame.
        """
        pairing, cut = self._pairing.copy(), self._stream.cut_all()
        pieces, _ = self._pieces(cut, pairing)
        tells = cut.begins[(cut.roles != EITHER) & (cut.ends <= sure_until)]
        open_from = int(tells[-1]) if len(tells) else -1
        either = {*self._pairing.offsets_in_run(), *cut.begins[cut.roles == EITHER].tolist()}
        return Look([*pieces, *pairing.finish()], frozenset(one for one in either if one > open_from))

    def finish(self) -> list[HeardPiece]:
        """Return what still waited: nothing more comes."""
        return self._give(self._stream.cut_all()) + self._pairing.finish()

    def _advance(self) -> list[HeardPiece]:
        return self._give(self._stream.cut())

    def _give(self, cut: Cut) -> list[HeardPiece]:
        pieces, self._behind_last_frame = self._pieces(cut, self._pairing)
        self._stream.drop(cut)
        return pieces

    def _pieces(self, cut: Cut, pairing: Pairing) -> tuple[list[HeardPiece], bytes]:
        """Return the pieces of a cut, and what lies behind its last frame."""
        heard = self._stream.heard
        pieces: list[HeardPiece] = []
        before, at = self._behind_last_frame, heard.begin
        for frame, roles in zip(_timed(heard, cut), cut.roles.tolist(), strict=True):
            if frame.offset > at:
                between = heard.between(at, frame.offset)
                pieces.append(Skipped(at, between))
                before += between
            pairing.take(frame, roles, before, pieces)
            before, at = b"", frame.offset + len(frame.adu)
        if cut.decided > at:
            between = heard.between(at, cut.decided)
            pieces.append(Skipped(at, between))
            before += between
        return pieces, before[-REMEMBERED_BYTES:]


def decode(arrivals: Iterable[Arrival], settings: SerialSettings) -> list[HeardPiece]:
    """Return all that these arrivals say, heard with these settings."""
    decoder = Decoder(Pace.of(settings))
    return decoder.take(arrivals) + decoder.finish()


def decode_untimed(data: bytes) -> list[HeardPiece]:
    """Return all that bytes say of whose times nothing is known."""
    decoder = Decoder(Pace.not_told())
    return decoder.take_untimed(data) + decoder.finish()


def _timed(heard: HeardBytes, cut: Cut) -> list[HeardFrame]:
    if not len(cut.begins):
        return []
    begun, ended = heard.begun_s(cut.begins), heard.ended_s(cut.ends - 1)
    adus = heard.many(cut.begins, cut.ends)
    times = (each.tolist() for each in (*begun, *ended))
    return list(map(HeardFrame, cut.begins.tolist(), adus, *times))
