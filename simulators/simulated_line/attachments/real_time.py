"""Runs a site at real pace for another program: what it sends goes onto the pair, what the pair says goes to it."""

from __future__ import annotations

import select
import time
from typing import Protocol

from buswalk.domain.line.arrival import Mark
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.site import SimulatedSite

LONGEST_WAIT_S = 0.05


class Peer(Protocol):
    """The other program's end."""

    def descriptors(self) -> list[int]:
        """File descriptors that become readable when something is to be done."""

    def incoming(self) -> bytes:
        """Return bytes that it wants sent; may do other business first."""

    def settings(self) -> SerialSettings:
        """Speed and framing it has set."""

    def deliver(self, data: bytes, marks: tuple[Mark, ...]) -> None:
        """Hand it bytes that were received."""


class RealTimeSite:
    """One site on the system clock, factor 1."""

    def __init__(self, site: SimulatedSite, peer: Peer) -> None:
        self._site = site
        self._peer = peer
        self._line = site.open_line("attached", peer.settings(), keep_pace=lambda: None)
        self._start_s = time.perf_counter()
        self._is_ended = False

    def end(self) -> None:
        """Make `run` return soon; safe in a signal handler."""
        self._is_ended = True

    def run(self) -> None:
        """Serve until ended."""
        while not self._is_ended:
            self.step(LONGEST_WAIT_S)

    def step(self, longest_wait_s: float) -> None:
        """Wait for the peer or for the line, and serve both."""
        now_s = self._now_s()
        wait_s = min(longest_wait_s, max(0.0, self._next_s() - now_s))
        select.select(self._peer.descriptors(), [], [], wait_s)
        self._deliver()
        data = self._peer.incoming()
        settings = self._peer.settings()
        if settings != self._line.settings:
            self._line.apply(settings)
        if data:
            self._line.write(data)
        self._deliver()

    def _deliver(self) -> None:
        self._site.timeline.run_until(self._now_s())
        for arrival in self._line.discard():
            self._peer.deliver(arrival.data, arrival.marks)

    def _next_s(self) -> float:
        horizon_s = self._site.timeline.now_s() + LONGEST_WAIT_S
        handover_s = self._site.adapter.next_handover_s(horizon_s)
        return min(self._site.timeline.next_time_s(), handover_s)

    def _now_s(self) -> float:
        return time.perf_counter() - self._start_s
