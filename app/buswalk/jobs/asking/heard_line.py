"""The line as it is heard between exchanges: stray bytes, silence before a request, and what it shows of its port.

Here is also where a stop that comes inside a wait is put off, for a request that must not be torn from the next one.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import Echo, LineTraits
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.line_events import EventSink, StrayArrival
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.observation import EchoHeard
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.jobs.asking.late_replies import LateReplies
from buswalk.jobs.asking.learnt_latency import LearntLatency
from buswalk.jobs.asking.manners import Manners, NoOthers
from buswalk.jobs.asking.stopped import StopKeeping, Stopped

PAUSE_ALLOWED_INSIDE_S = 0.025
"""Devices are known to pause up to 10 ms inside a reply; room for that and for late reads."""
QUIET_WITHIN_S = 2.0
"""Longest wait for the line to become quiet before a request is given up."""


class HeardLine:
    """One line, with all that was heard on it; the asker takes what comes inside its exchanges itself.

    Attributes:
        last_activity_s: When the line was last heard or used; whoever reads or writes sets it on.
        echo: Whether the adapter hears what we send, as far as it has shown.
    """

    def __init__(self, line: Line, clock: Clock, sink: EventSink, late: LateReplies) -> None:
        self._line = line
        self._clock = clock
        self._sink = sink
        self._late = late
        self._latency = LearntLatency()
        self._stops = StopKeeping.PASSES_ON
        self.manners: Manners = NoOthers()
        self.echo = line.traits.echo
        self.last_activity_s = clock.now_s()

    # What it shows of its port

    @property
    def traits(self) -> LineTraits:
        """What the port can tell, with what was learnt since it was opened."""
        return self._latency.in_traits(replace(self._line.traits, echo=self.echo))

    def learn(self, exchange: Exchange) -> None:
        """Take what an exchange shows of echo, latency and turnaround."""
        self._latency.saw(exchange, self._line.traits)
        if self.echo is Echo.NOT_KNOWN:
            if any(isinstance(one, EchoHeard) for one in exchange.observations):
                self.echo = Echo.HEARD
            elif isinstance(exchange.outcome, NormalReply | ExceptionReply):
                self.echo = Echo.NOT_HEARD
        if isinstance(exchange.turnaround, Turnaround) and isinstance(exchange.outcome, NormalReply | ExceptionReply):
            self._late.saw_turnaround(exchange.server_address, exchange.turnaround.not_more_than_s)

    # Reading and writing, and a stop meanwhile

    @contextmanager
    def without_stopping(self) -> Iterator[None]:
        """Put a stop off until the end of this span.

        Raises:
            Stopped: At the end, if a stop came meanwhile.
        """
        self._stops = StopKeeping.KEEPS
        try:
            yield
        finally:
            kept, self._stops = self._stops, StopKeeping.PASSES_ON
        if kept is StopKeeping.HAS_ONE:
            raise Stopped

    def read(self, until_s: float) -> Arrival | None:
        """Return what comes next until then. Raises Stopped, unless it is put off."""
        try:
            return self._line.read(until_s)
        except Stopped:
            self._keep_stop_or_raise()
            return self._line.read(until_s)

    def write(self, adu: bytes) -> Sent:
        """Send a frame. Raises Stopped, unless it is put off."""
        try:
            return self._line.write(adu)
        except Stopped:
            self._keep_stop_or_raise()
            return self._line.write(adu)

    def _keep_stop_or_raise(self) -> None:
        """Called while a stop is being handled. The runner raises it once, so what was cut short can be done again."""
        if self._stops is StopKeeping.PASSES_ON:
            raise Stopped
        self._stops = StopKeeping.HAS_ONE

    # Between exchanges

    def listen_until(self, time_s: float) -> tuple[Arrival, ...]:
        """Return what came until then, which was told as stray."""
        heard: list[Arrival] = []
        while (arrival := self.read(time_s)) is not None:
            heard.append(arrival)
            self._stray(arrival)
            if self._clock.now_s() >= time_s:
                break
        self._late.end_burst()
        return tuple(heard)

    def wait_for_quiet(self, minimum_gap_s: float) -> bool:
        """Take what is waiting, and wait until the line has been silent for long enough; tell whether it was."""
        give_up_s = self._clock.now_s() + QUIET_WITHIN_S + minimum_gap_s
        self.drain()
        while True:
            silence_s = max(inter_frame_delay_s(self._line.settings), minimum_gap_s)
            due_s = self.last_activity_s + silence_s
            now_s = self._clock.now_s()
            if now_s >= due_s:
                self._late.end_burst()
                return True
            if now_s >= give_up_s:
                return False
            arrival = self.read(min(due_s, give_up_s))
            if arrival is not None:
                self._stray(arrival)

    def drain(self) -> None:
        """Take what is waiting; it is evidence."""
        for arrival in self._line.discard():
            self._stray(arrival)

    def _stray(self, arrival: Arrival) -> None:
        is_new_burst = arrival.not_before_s > self.last_activity_s + self._burst_ends_after_s()
        if is_new_burst:
            self._late.end_burst()
        self.last_activity_s = max(self.last_activity_s, arrival.not_after_s)
        self._sink(StrayArrival(arrival))
        self.manners.heard(arrival)
        self._late.take_stray(arrival.data, arrival.not_after_s)

    def _burst_ends_after_s(self) -> float:
        return inter_frame_delay_s(self._line.settings) + self.traits.latency_s + PAUSE_ALLOWED_INSIDE_S
