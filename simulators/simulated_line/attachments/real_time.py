"""Runs a site at real pace for another program: what it sends goes onto the pair, what the pair says goes to it."""

from __future__ import annotations

import select
import time

from buswalk.domain.line.port_error import PortError
from simulated_line.adapter.line import SimulatedLine
from simulated_line.attachments.framing_choice import framing_for
from simulated_line.attachments.peer import Act, Apply, ApplySpeed, Peer, PurgeReceived, PurgeWaiting, Send
from simulated_line.site import SimulatedSite

LONGEST_WAIT_S = 0.05
FIRST_NAME = "attached"


class RealTimeSite:
    """One site on the system clock, factor 1.

    While its adapter is away, or held by another program, the line is dead: what the peer sends goes nowhere.
    """

    def __init__(self, site: SimulatedSite, peer: Peer) -> None:
        self._site = site
        self._peer = peer
        self._line: SimulatedLine | None = None
        self._settings = peer.settings()
        self._start_s = time.perf_counter()
        self._is_ended = False
        if not peer.carries_framing:
            site.adapter.follow_framing()

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
        self._site.timeline.run_until(self._now_s())
        try:
            line = self._joined()
            self._deliver(line)
            for act in acts:
                self._do(line, act)
            self._deliver(line)
        except PortError:
            if self._line is not None:
                self._settings, self._line = self._line.settings, None

    def _joined(self) -> SimulatedLine:
        """Return the line, opened again if its adapter was away."""
        if self._line is None:
            name = next(iter(self._site.port.listed()), FIRST_NAME)
            self._line = self._site.open_line(name, self._settings, keep_pace=lambda: None)
            if not self._peer.carries_framing:
                self._line.apply(framing_for(self._site, self._settings.baud_rate, b""))
        return self._line

    def _do(self, line: SimulatedLine, act: Act) -> None:
        match act:
            case Send(data):
                self._send(line, data)
            case Apply(settings):
                line.apply(settings)
            case ApplySpeed(baud_rate):
                self._apply_speed(line, baud_rate)
            case PurgeReceived():
                line.discard()
                self._site.adapter.purge_received()
            case PurgeWaiting():
                self._site.adapter.purge_waiting()

    def _send(self, line: SimulatedLine, data: bytes) -> None:
        if not self._peer.carries_framing and not self._site.adapter.is_sending:
            line.apply(framing_for(self._site, line.settings.baud_rate, data))
        line.write(data)

    def _apply_speed(self, line: SimulatedLine, baud_rate: int) -> None:
        if baud_rate != line.settings.baud_rate:
            line.apply(framing_for(self._site, baud_rate, b""))

    def _deliver(self, line: SimulatedLine) -> None:
        self._site.timeline.run_until(self._now_s())
        for arrival in line.discard():
            self._peer.deliver(arrival.data, arrival.marks)

    def _next_s(self) -> float:
        horizon_s = self._site.timeline.now_s() + LONGEST_WAIT_S
        handover_s = self._site.adapter.next_handover_s(horizon_s)
        return min(self._site.timeline.next_time_s(), handover_s)

    def _now_s(self) -> float:
        return time.perf_counter() - self._start_s
