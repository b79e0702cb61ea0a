"""Collects, between two looks, what came outside of exchanges: late replies and bytes that nothing explains."""

from __future__ import annotations

from buswalk.domain.line_events import LateReply, LineEvent, StrayArrival
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.search.suspicion import Energy
from buswalk.jobs.searching.reading_replies import first_heard_s, request_ended_s

HEARD_BYTES = 16


class Evidence:
    """A sink of line events."""

    def __init__(self) -> None:
        self._late: list[LateReply] = []
        self._has_strays = False
        self.heard_at_s = float("inf")
        """When the first bytes since the last look were handed over, in seconds of line time."""
        self.heard = b""
        """The first of those bytes."""

    def __call__(self, event: LineEvent) -> None:
        """Take an event; exchanges themselves are not kept."""
        match event:
            case LateReply():
                self._late.append(event)
            case StrayArrival(arrival):
                self._has_strays = True
                self.heard_at_s = min(self.heard_at_s, arrival.not_after_s)
                self.heard = (self.heard + arrival.data)[:HEARD_BYTES]
            case _:
                pass

    def take_late(self) -> tuple[LateReply, ...]:
        """Return late replies since the last look."""
        late, self._late = tuple(self._late), []
        return late

    def take_strays(self) -> bool:
        """Tell whether bytes came between exchanges since the last look."""
        had, self._has_strays = self._has_strays, False
        self.heard_at_s, self.heard = float("inf"), b""
        return had


def energy_of(exchange: Exchange, evidence: Evidence) -> Energy:
    """Return the bytes that came before and in an exchange as energy.

    What came before it may have begun while we were sending, or end in what we send: of that only the bytes are known.
    """
    heard_in = exchange.settings
    heard_s = min(evidence.heard_at_s, first_heard_s(exchange))
    if evidence.heard or not exchange.arrivals:
        return Energy(heard_s, heard_in, evidence.heard + exchange.received)
    first, last = exchange.arrivals[0], exchange.arrivals[-1]
    begin_s = first.not_before_s - len(first.data) * heard_in.character_s
    return Energy(
        heard_s,
        heard_in,
        exchange.received,
        quiet_before_s=begin_s - request_ended_s(exchange),
        quiet_after_s=exchange.ended_s - last.not_after_s,
        lasted_at_most_s=last.not_after_s - begin_s,
    )
