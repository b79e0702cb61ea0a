"""Notices a client that begins to ask while we do: nobody was heard before, so nobody was asked for leave."""

from __future__ import annotations

from collections import deque

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.heard_exchange import HeardExchange, UnansweredRequest
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.manners import ComingRequest
from buswalk.jobs.searching.client_learning import learn_client
from buswalk.jobs.searching.gave_way import NewcomerHeard

KEPT = 64
OWN_KEPT = 256
PROVEN_BY = 2
"""So many requests that are not ours, one of them at least answered or repeated."""
ENERGY_BEFORE_LOOK = 8
"""After so many bursts that make no frame here, other settings are listened to: it may talk there."""
MOST_LOOKS = 1


class Newcomer:
    """Manners of an asker that believes itself alone."""

    def __init__(self, asker: Asker) -> None:
        self._asker = asker
        self._heard: deque[Arrival] = deque(maxlen=KEPT)
        self._at: SerialSettings | None = None
        self._own: deque[bytes] = deque(maxlen=OWN_KEPT)
        self._is_new = False
        self._bursts = 0
        self._looks = 0

    def heard(self, arrival: Arrival) -> None:
        """Keep it: what others say comes between our exchanges, mostly."""
        if self._asker.settings != self._at:
            self._heard.clear()
            self._at = self._asker.settings
        self._heard.append(arrival)
        self._bursts += 1
        self._is_new = True

    def heard_in_exchange(self, arrival: Arrival) -> None:
        """Our replies are not kept."""

    def make_room(self, request: ComingRequest) -> AskTiming:
        """Let it leave, unless somebody has come.

        Raises:
            NewcomerHeard: Somebody has.
        """
        if self._is_new:
            self._is_new = False
            self._look_closer()
        self._own.append(request.adu)
        return request.timing

    def _look_closer(self) -> None:
        if self._proves_a_client():
            raise NewcomerHeard
        if self._bursts >= ENERGY_BEFORE_LOOK and self._looks < MOST_LOOKS:
            self._looks += 1
            ours = self._asker.settings
            cycle = learn_client(self._asker, ours)
            self._asker.use_settings(ours)
            if cycle is not None:
                raise NewcomerHeard

    def _proves_a_client(self) -> bool:
        assert self._at is not None
        requests: list[bytes] = []
        exchanges = 0
        for piece in decode(self._heard, self._at):
            if isinstance(piece, HeardExchange | UnansweredRequest) and piece.request.adu not in self._own:
                requests.append(piece.request.adu)
                exchanges += isinstance(piece, HeardExchange)
        return len(requests) >= PROVEN_BY and (exchanges > 0 or len(set(requests)) < len(requests))
