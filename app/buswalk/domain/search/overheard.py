"""Another client overheard while a search waits: a live view of who asks whom, over the decoder of listening."""

from __future__ import annotations

from dataclasses import dataclass, field

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.listening.decoder import Decoder
from buswalk.domain.listening.heard_bytes import Pace
from buswalk.domain.listening.who_asks import WhoAsks

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

    def _look(self) -> WhoAsks:
        if self._waiting:
            self._sure.take(self._decoder.take(self._waiting))
            self._waiting = []
            self._seen = self._sure.and_also(self._decoder.rest())
        return self._seen
