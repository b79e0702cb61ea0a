"""The cycle of another client: what it asks after what, how soon, how long each exchange takes. Learnt by listening.

    request k | reply | ......... free ......... | next request
    begins                                         not before: the shortest gap seen in this place of the round

A place in the round is told by the requests before it: the longest row of them that was seen often enough.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.heard_exchange import (
    HeardBroadcast,
    HeardExchange,
    HeardFrame,
    HeardPiece,
    UnansweredRequest,
)

LONGEST_PLACE = 4
"""So many requests back tell the place in the round at most: three tries of one request and what came before them."""
SEEN_OFTEN = 2
LEAST_REQUESTS = 4
KNOWN_SHARE = 0.9
"""So much of what was heard must repeat, or there is no cycle to go by."""
LEAST_MARGIN_S = 0.1
"""Away from its next request: what it was never seen to vary by (judgement, no source)."""
LONGEST_WAIT_S = 1.0
"""Clients wait for a reply so long at most, mostly (common practice, no source)."""
AFTER_REPLY_S = 0.01


@dataclass(frozen=True, slots=True)
class CycleRequest:
    """One request of the round.

    Attributes:
        adu: As sent, CRC included.
        asked, answered: While only listening was done.
        busy_s: From its first bit until its reply is over, or until its client no longer waits for one.
        turnaround_s: Longest seen; 0 where none was.
    """

    adu: bytes
    asked: int
    answered: int
    busy_s: float

    @property
    def server_address(self) -> int:
        """Whom it asks."""
        return self.adu[0]

    @property
    def is_answered_always(self) -> bool:
        """Whether none of its exchanges was lost while only listening was done."""
        return self.asked == self.answered


@dataclass(frozen=True, slots=True)
class Expected:
    """When the next request begins: not before and not after, as far as was ever seen; margins are not in it."""

    not_before_s: float
    not_after_s: float
    margin_s: float


@dataclass(frozen=True, slots=True)
class CycleHeard:
    """What was learnt of another client's cycle.

    Attributes:
        requests: So many different ones in its round.
        round_s: How long a round takes; the longest time between two equal requests.
        longest_room_s: The longest pause in which it was never heard, margins taken off.
        free_share: Of its time that is such pauses.
    """

    settings: SerialSettings
    requests: int
    round_s: float
    longest_room_s: float
    free_share: float


@dataclass(frozen=True, slots=True)
class Asking:
    """One request heard: which, and when its first bit began."""

    request: int
    begin_s: float


@dataclass(frozen=True, slots=True)
class RoundPart:
    """One exchange in a round: whom it asks, when it begins from the round's begin, how long it takes.

    Attributes:
        is_answered: Somebody answered it, or nobody is to.
    """

    server_address: int
    from_s: float
    busy_s: float
    is_answered: bool


class ClientCycle:
    """Knows the round, and where in it the client is now."""

    def __init__(self, settings: SerialSettings, requests: Sequence[CycleRequest], heard: Sequence[Asking]) -> None:
        self.settings = settings
        self.requests = tuple(requests)
        self._seen: dict[tuple[int, ...], list[tuple[float, int]]] = {}
        self._learn(heard)
        self._row = list(heard[-LONGEST_PLACE:])
        self._heard = tuple(heard)
        self._begun = [one.begin_s for one in heard]
        self._rooms = self._rooms_of(heard)
        self._round_s = min(_periods_s(heard), key=lambda one: one[0])[1]

    def _learn(self, heard: Sequence[Asking]) -> None:
        keys = [one.request for one in heard]
        for at in range(len(heard) - 1):
            follows = (heard[at + 1].begin_s - heard[at].begin_s, keys[at + 1])
            for length in range(1, min(LONGEST_PLACE, at + 1) + 1):
                self._seen.setdefault(tuple(keys[at + 1 - length : at + 1]), []).append(follows)

    def _rooms_of(self, heard: Sequence[Asking]) -> list[float]:
        """Return the pause that may be used after each request heard, in its place of the round."""
        rooms = []
        for at in range(LONGEST_PLACE - 1, len(heard) - 1):
            row = heard[max(0, at + 1 - LONGEST_PLACE) : at + 1]
            expected = self._expected_after(row)
            free_s = expected.not_before_s - expected.margin_s - row[-1].begin_s
            rooms.append(max(0.0, free_s - self.requests[row[-1].request].busy_s))
        return rooms

    # What is known of it

    @property
    def longest_room_s(self) -> float:
        """The longest pause that may be used."""
        return max(self._rooms, default=0.0)

    @property
    def round_s(self) -> float:
        """How long a round takes: from one to the next of the request that comes least often."""
        return self._round_s

    def told(self) -> CycleHeard:
        """Return what is known of it, to be said."""
        span_s = self._begun[-1] - self._begun[min(LONGEST_PLACE - 1, len(self._begun) - 1)]
        share = sum(self._rooms) / span_s if span_s > 0 else 0.0
        return CycleHeard(self.settings, len(self.requests), self.round_s, self.longest_room_s, min(1.0, share))

    def one_round(self) -> tuple[RoundPart, ...]:
        """Return the last whole round heard, from one to the next of the request that comes least often."""
        rarest = min(range(len(self.requests)), key=lambda at: self.requests[at].asked)
        ends = [at for at, one in enumerate(self._heard) if one.request == rarest][-2:]
        if len(ends) < 2:
            return ()
        began_s = self._heard[ends[0]].begin_s
        parts = []
        for one in self._heard[ends[0] : ends[1]]:
            asked = self.requests[one.request]
            is_answered = asked.answered > 0 or not asked.server_address
            parts.append(RoundPart(asked.server_address, one.begin_s - began_s, asked.busy_s, is_answered))
        return tuple(parts)

    # Where it is now

    def is_at(self, asking: Asking) -> None:
        """It has begun this request."""
        self._row = [*self._row, asking][-LONGEST_PLACE:]

    def lose_place(self) -> None:
        """Where in the round it is, is not known until the next request is heard."""
        self._row = []

    @property
    def last(self) -> Asking | None:
        """Its last request; None while its place is not known."""
        return self._row[-1] if self._row else None

    def expected(self) -> Expected | None:
        """Return when its next request begins; None while its place is not known."""
        return self._expected_after(self._row) if self._row else None

    def follower(self) -> int:
        """Return which request mostly comes next; the place must be known."""
        keys = [key for _, key in self._follows(self._row)]
        return max(set(keys), key=keys.count)

    def free_from_s(self) -> float:
        """Return when its exchange is over; the place must be known."""
        last = self._row[-1]
        return last.begin_s + self.requests[last.request].busy_s

    def _expected_after(self, row: Sequence[Asking]) -> Expected:
        gaps = [gap_s for gap_s, _ in self._follows(row)]
        least, most = min(gaps), max(gaps)
        margin_s = max(LEAST_MARGIN_S, (most - least) / 2.0)
        return Expected(row[-1].begin_s + least, row[-1].begin_s + most, margin_s)

    def _follows(self, row: Sequence[Asking]) -> list[tuple[float, int]]:
        """Return what came after this place: by the longest row before it that was seen often enough."""
        keys = tuple(one.request for one in row)
        for length in range(len(keys), 0, -1):
            follows = self._seen.get(keys[-length:], [])
            if len(follows) >= SEEN_OFTEN:
                return follows
        return self._seen.get(keys[-1:]) or [one for follows in self._seen.values() for one in follows]

    def request_in(self, data: bytes) -> int | None:
        """Return which of its requests these bytes hold; None for none."""
        return next((at for at, one in enumerate(self.requests) if one.adu in data), None)


def _periods_s(heard: Sequence[Asking]) -> list[tuple[int, float]]:
    """Return of each request how often it was heard, and the usual time from one to the next."""
    told = []
    for request in {one.request for one in heard}:
        begun = [one.begin_s for one in heard if one.request == request]
        told.append((len(begun), (begun[-1] - begun[0]) / max(1, len(begun) - 1)))
    return told


def learn_cycle(pieces: Iterable[HeardPiece], settings: SerialSettings) -> ClientCycle | None:
    """Return the cycle in what was heard at these settings; None where too little of it repeats."""
    askings: list[tuple[HeardFrame, HeardFrame | None]] = []
    for piece in pieces:
        match piece:
            case HeardExchange(request, reply, _):
                askings.append((request, reply))
            case UnansweredRequest(request) | HeardBroadcast(request):
                askings.append((request, None))
            case _:
                pass
    askings.sort(key=lambda one: one[0].begun_not_after_s)
    counts: dict[bytes, int] = {}
    for request, _ in askings:
        counts[request.adu] = counts.get(request.adu, 0) + 1
    known = [adu for adu, count in counts.items() if count >= SEEN_OFTEN]
    repeated = [one for one in askings if one[0].adu in known]
    if len(repeated) < LEAST_REQUESTS or len(repeated) < KNOWN_SHARE * len(askings):
        return None
    heard = [Asking(known.index(request.adu), _began_s(request, settings)) for request, _ in repeated]
    wait_s = _client_wait_s(repeated, heard)
    requests = [_request_of(adu, repeated, wait_s, settings) for adu in known]
    return ClientCycle(settings, requests, heard)


def _began_s(frame: HeardFrame, settings: SerialSettings) -> float:
    """Return when its first bit began, by the end of its last: when bytes were handed over is known best there."""
    return frame.ended_not_after_s - len(frame.adu) * settings.character_s


def _client_wait_s(repeated: Sequence[tuple[HeardFrame, HeardFrame | None]], heard: Sequence[Asking]) -> float:
    """Return how long the client waits for a reply at most: what it has always waited before it asked on."""
    after = [
        heard[at + 1].begin_s - heard[at].begin_s
        for at in range(len(heard) - 1)
        if repeated[at][1] is None and repeated[at][0].server_address != 0
    ]
    return min([LONGEST_WAIT_S, *after])


def _request_of(
    adu: bytes, repeated: Sequence[tuple[HeardFrame, HeardFrame | None]], wait_s: float, settings: SerialSettings
) -> CycleRequest:
    own = [(request, reply) for request, reply in repeated if request.adu == adu]
    took = [
        reply.ended_not_after_s - _began_s(request, settings) + AFTER_REPLY_S
        for request, reply in own
        if reply is not None
    ]
    if adu[0] == 0:
        return CycleRequest(adu, len(own), len(own), len(adu) * settings.character_s + AFTER_REPLY_S)
    busy_s = max(took) if len(took) == len(own) else max([wait_s, *took])
    return CycleRequest(adu, len(own), len(took), busy_s)
