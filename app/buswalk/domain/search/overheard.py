"""Another client overheard while a search waits: a live view of who asks whom, over the decoder of listening."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.client_cycle import ClientCycle, learn_cycle
from buswalk.domain.listening.decoder import Decoder
from buswalk.domain.listening.heard_bytes import Pace
from buswalk.domain.listening.heard_exchange import HeardPiece
from buswalk.domain.listening.who_asks import WhoAsks

PIECES_KEPT = 240
"""Of the latest the cycle is learnt: more would cost a screen its time, and it may have changed since."""
DECODED_TOGETHER = 1000
"""Arrivals wait until somebody looks, or until there are so many: decoding one by one would cost a screen its time."""


@dataclass(frozen=True, slots=True)
class OverheardRequest:
    """One request that another client repeats.

    Attributes:
        pdu: As sent, without address and CRC.
        period_s: Usual time from one to the next; 0 while it was heard once.
        answered, refused: Of `asked`; a refusal is an answer too and counted in both.
    """

    server_address: int
    pdu: bytes
    asked: int
    answered: int
    refused: int
    period_s: float

    @property
    def function_code(self) -> int:
        """What it asks for."""
        return self.pdu[0]


@dataclass(slots=True)
class Overheard:
    """Takes what arrives while nobody here asks."""

    byte_count: int = 0
    _waiting: list[Arrival] = field(default_factory=list)
    _decoder: Decoder = field(default_factory=lambda: Decoder(Pace.not_told()))
    _pieces: deque[HeardPiece] = field(default_factory=lambda: deque(maxlen=PIECES_KEPT))
    _cycle: tuple[int, SerialSettings, ClientCycle | None] | None = None
    """What was learnt, of how many bytes, at which settings."""
    _sure: WhoAsks = field(default_factory=WhoAsks)
    _seen: WhoAsks = field(default_factory=WhoAsks)

    def take(self, arrival: Arrival) -> None:
        """Take bytes as they came."""
        self.byte_count += len(arrival.data)
        self._waiting.append(arrival)
        if len(self._waiting) >= DECODED_TOGETHER:
            self._look()

    @property
    def requests(self) -> tuple[OverheardRequest, ...]:
        """What is asked, by address, then by what comes first in the round."""
        return tuple(
            OverheardRequest(one.server_address, one.pdu, one.asked, one.answered, one.refused, one.period_s)
            for one in self._look().requests
        )

    @property
    def round_s(self) -> float:
        """How often the whole round comes: the longest period of what was heard twice; 0 while nothing was."""
        return self._look().round_s

    def cycle(self, settings: SerialSettings) -> ClientCycle | None:
        """Return the cycle of the client that talks at these settings; None where too little of it repeats."""
        if self._cycle is None or self._cycle[:2] != (self.byte_count, settings):
            self._look()
            learnt = learn_cycle([*self._pieces, *self._decoder.rest()], settings)
            self._cycle = (self.byte_count, settings, learnt)
        return self._cycle[2]

    def _look(self) -> WhoAsks:
        if self._waiting:
            pieces = self._decoder.take(self._waiting)
            self._pieces.extend(pieces)
            self._sure.take(pieces)
            self._waiting = []
            self._seen = self._sure.and_also(self._decoder.rest())
        return self._seen
