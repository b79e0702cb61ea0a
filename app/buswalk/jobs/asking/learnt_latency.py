"""Learns from right replies how late adapter and system hand bytes over, where the system could not be asked.

One reply gives two bounds. The bytes of one lump came one after the other, so its first byte waited for the others at
least; and no byte can have come before the request had ended and the bytes before it had passed:

    request |......| turnaround |b0|b1|b2|...          on the line
                   ^                      ^ b0, b1 and b2 are handed over
                   earliest end of request            at least 2 characters late for b0; at most all of this
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, replace

from buswalk.domain.line.line_traits import LatencySource, LineTraits
from buswalk.domain.line.sent import Sent
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.observation import EchoHeard
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply

REPLIES_NEEDED = 8
"""So many replies in a row of one server must have been no later. It says what was, not what will be: the next one is
later with a chance of about one in nine."""
LUMP_BY_COUNT_BYTES = 31
"""Adapters are known to hand over every 32 or 62 bytes (common practice, no source): so long a lump may have waited for
its count, which takes another time at another speed."""


@dataclass(frozen=True, slots=True)
class LatencyBounds:
    """What one reply says: some byte was at least so late, and none was later than that."""

    at_least_s: float
    at_most_s: float


class LearntLatency:
    """Keeps the last bounds of each server, and says what follows from all of them."""

    def __init__(self) -> None:
        self._proved_s = 0.0
        self._at_most_s: dict[int, deque[float]] = {}

    def saw(self, exchange: Exchange, traits: LineTraits) -> None:
        """Take an exchange as the line told it; what is no right and certain reply teaches nothing."""
        bounds = latency_bounds(exchange, traits)
        if bounds is None:
            return
        self._proved_s = max(self._proved_s, bounds.at_least_s)
        kept = self._at_most_s.setdefault(exchange.server_address, deque(maxlen=REPLIES_NEEDED))
        kept.append(bounds.at_most_s)

    def in_traits(self, traits: LineTraits) -> LineTraits:
        """Return what the line says, with the latency learnt where the line only assumes one."""
        if traits.latency_source is not LatencySource.ASSUMED:
            return traits
        # The quickest server tells most: of a slow one the turnaround passes for latency.
        enough = [max(kept) for kept in self._at_most_s.values() if len(kept) == REPLIES_NEEDED]
        latency_s = max(self._proved_s, min([traits.latency_s, *enough]))
        if latency_s == traits.latency_s:
            return traits
        return replace(traits, latency_s=latency_s, latency_source=LatencySource.LEARNT)


def latency_bounds(exchange: Exchange, traits: LineTraits) -> LatencyBounds | None:
    """Return what the times of a reply say of the latency; None if it is no right reply, or one with any doubt.

    The arrivals' ranges hold the line's own latency, so `traits` are the line's. Without wire time a reply's bytes may
    come all at once, and only the upper bound holds.
    """
    if not isinstance(exchange.outcome, NormalReply | ExceptionReply) or not isinstance(exchange.sent, Sent):
        return None
    has_echo = any(isinstance(one, EchoHeard) for one in exchange.observations)
    if any(not isinstance(one, EchoHeard) for one in exchange.observations):
        return None
    character_s = exchange.settings.character_s if traits.spends_wire_time else 0.0
    received = sum(len(arrival.data) for arrival in exchange.arrivals)
    # Of the reply: what is before is our echo, for anything else would have been an observation.
    at = len(exchange.outcome.adu) - received
    at_least_s = at_most_s = 0.0
    for arrival in exchange.arrivals:
        first, at = max(0, at), at + len(arrival.data)
        if first >= at:
            continue
        late_s = arrival.not_after_s - exchange.sent.end_not_before_s - (first + 1) * character_s
        at_most_s = max(at_most_s, late_s)
        if not has_echo and at - first < LUMP_BY_COUNT_BYTES:
            # What passed since we last looked is our own delay, and none of the adapter's.
            looked_away_s = arrival.not_after_s - arrival.not_before_s - traits.latency_s
            at_least_s = max(at_least_s, (at - first - 1) * character_s - looked_away_s)
    return LatencyBounds(at_least_s, at_most_s)
