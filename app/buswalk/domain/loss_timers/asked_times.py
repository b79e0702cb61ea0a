"""When each server was last asked by anybody, as far as was heard: by us, and by others on the same pair.

What counts is a request to the server's own address: whether one to all, or to another, holds its timer up is a matter
of the device. It counts where it was answered: at another speed or parity, or where it met another request, the device
has not heard it.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import inf

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.sent import Sent
from buswalk.domain.line_events import ExchangeDone, LineEvent, OtherClientNoticed, SettingsApplied, StrayArrival
from buswalk.domain.listening.decoder import Decoder, decode
from buswalk.domain.listening.heard_bytes import Pace
from buswalk.domain.listening.heard_exchange import HeardExchange, HeardPiece, UnansweredRequest
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.frame_splitter import Skipped
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply

SHORTEST_EXCHANGE_BYTES = 8
DECODED_TOGETHER = 256
"""So many arrivals wait until somebody looks: decoding one by one costs more."""


class AskedTimes:
    """Takes what happens on the line, in order."""

    def __init__(self) -> None:
        self._asked_s: dict[int, float] = {}
        self._by_others: set[int] = set()
        self._waiting: list[Arrival] = []
        self._unclear_s = -inf
        self._decoder = Decoder(Pace.not_told())

    def take(self, event: LineEvent) -> None:
        """Take one event."""
        match event:
            case ExchangeDone(exchange):
                self._take_exchange(exchange)
            case StrayArrival(arrival):
                self._waiting.append(arrival)
                if len(self._waiting) >= DECODED_TOGETHER:
                    self._look()
            case OtherClientNoticed(server_address=address, at_s=at_s):
                self._by_others.add(address)
                self._was_asked(address, at_s)
            case SettingsApplied():
                # No frame goes on across a change of speed.
                self._look()
                self._decoder = Decoder(Pace.not_told())
            case _:
                pass

    def _take_exchange(self, exchange: Exchange) -> None:
        """Ours, and those of others that came while we waited in vain."""
        if isinstance(exchange.outcome, NormalReply | ExceptionReply):
            if isinstance(exchange.sent, Sent):
                self._was_asked(exchange.server_address, exchange.sent.begin_s)
        elif len(exchange.received) > SHORTEST_EXCHANGE_BYTES:
            heard = [one for one in decode(exchange.arrivals, exchange.settings) if isinstance(one, HeardExchange)]
            others = [one for one in heard if one.request.adu != exchange.request_adu]
            self._heard_all(others, exchange.ended_s)

    def last_asked_s(self, server_address: int) -> float | None:
        """Return when a server was last asked; None where nobody was heard to ask it."""
        self._look()
        return self._asked_s.get(server_address)

    def is_asked_by_others(self, server_address: int) -> bool:
        """Tell whether another client was ever heard to ask a server."""
        self._look()
        return server_address in self._by_others

    def asked_by_others(self) -> frozenset[int]:
        """Return all servers that another client was ever heard to ask."""
        self._look()
        return frozenset(self._by_others)

    def may_have_been_asked(self, server_address: int) -> bool:
        """Tell whether bytes that make no frame came since a server was last asked: its client may talk at another
        speed than is listened at.
        """
        self._look()
        return self._unclear_s > self._asked_s.get(server_address, inf)

    def _was_asked(self, address: int, at_s: float) -> None:
        self._asked_s[address] = max(at_s, self._asked_s.get(address, at_s))

    def _look(self) -> None:
        if not self._waiting:
            return
        waiting, self._waiting = self._waiting, []
        self._heard_all([*self._decoder.take(waiting), *self._decoder.rest()], waiting[-1].not_after_s)

    def _heard_all(self, pieces: Iterable[HeardPiece], ended_s: float) -> None:
        """Take what bytes were decoded to; where that is no frame, whoever sent them may have asked."""
        frames = [one for one in pieces if not isinstance(one, Skipped)]
        self._unclear_s = -inf if frames else ended_s
        for one in frames:
            self._heard(one)

    def _heard(self, piece: HeardPiece) -> None:
        if isinstance(piece, HeardExchange | UnansweredRequest):
            self._by_others.add(piece.request.adu[0])
        if isinstance(piece, HeardExchange):
            self._was_asked(piece.request.adu[0], piece.request.begun_not_before_s)
