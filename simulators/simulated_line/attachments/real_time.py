"""Runs a site at real pace for another program: what it sends goes onto the pair, what the pair says goes to it."""

from __future__ import annotations

import select
import time

from simulated_line.attachments.framing_choice import framing_for
from simulated_line.attachments.peer import Act, Apply, ApplySpeed, Peer, PurgeReceived, PurgeWaiting, Send
from simulated_line.site import SimulatedSite

LONGEST_WAIT_S = 0.05


class RealTimeSite:
    """One site on the system clock, factor 1."""

    def __init__(self, site: SimulatedSite, peer: Peer) -> None:
        self._site = site
        self._peer = peer
        self._line = site.open_line("attached", peer.settings(), keep_pace=lambda: None)
        if not peer.carries_framing:
            site.adapter.follow_framing()
            self._line.apply(framing_for(site, peer.settings().baud_rate, b""))
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
        acts = self._peer.acts()
        self._deliver()
        for act in acts:
            self._do(act)
        self._deliver()

    def _do(self, act: Act) -> None:
        match act:
            case Send(data):
                self._send(data)
            case Apply(settings):
                self._line.apply(settings)
            case ApplySpeed(baud_rate):
                self._apply_speed(baud_rate)
            case PurgeReceived():
                self._line.discard()
                self._site.adapter.purge_received()
            case PurgeWaiting():
                self._site.adapter.purge_waiting()

    def _send(self, data: bytes) -> None:
        if not self._peer.carries_framing and not self._site.adapter.is_sending:
            self._line.apply(framing_for(self._site, self._line.settings.baud_rate, data))
        self._line.write(data)

    def _apply_speed(self, baud_rate: int) -> None:
        if baud_rate != self._line.settings.baud_rate:
            self._line.apply(framing_for(self._site, baud_rate, b""))

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
