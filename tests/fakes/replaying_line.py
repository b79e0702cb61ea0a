"""A line that plays back what others send: after each write, chosen lumps at chosen times behind its end."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, replace

from buswalk.domain.line.arrival import Arrival, Mark
from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from tests.fakes.jumping_clock import JumpingClock

PLAIN_TRAITS = LineTraits(
    carries_speed=True,
    carries_framing=True,
    spends_wire_time=True,
    mark_reporting=MarkReporting.PER_BYTE,
    echo=Echo.NOT_KNOWN,
    latency_s=0.001,
    latency_source=LatencySource.EXACT,
    settings_change_s=0.0,
    is_simulated=True,
)


@dataclass(frozen=True, slots=True)
class Lump:
    """Bytes handed over so long after the end of our request."""

    after_s: float
    data: bytes
    marks: tuple[Mark, ...] = ()


class ReplayingLine:
    """Plays one list of lumps for each write, in order; writes are kept with their times."""

    def __init__(self, clock: JumpingClock, *replies: tuple[Lump, ...], echo: Echo = Echo.NOT_KNOWN) -> None:
        self._clock = clock
        self._replies = deque(replies)
        self._due: list[tuple[float, Lump]] = []
        self._settings = SerialSettings.of(9600, "8N1")
        self._is_closed = False
        self.writes: list[tuple[float, bytes]] = []
        self.traits = replace(PLAIN_TRAITS, echo=echo)

    @property
    def settings(self) -> SerialSettings:
        """The settings last applied."""
        return self._settings

    def play(self, at_s: float, data: bytes) -> None:
        """Let bytes come at a time, whatever is asked."""
        self._due.append((at_s, Lump(0.0, data)))

    def apply(self, settings: SerialSettings) -> None:
        """Take them."""
        self._settings = settings

    def write(self, data: bytes) -> Sent:
        """Keep it, and let its reply become due."""
        if not data:
            raise ValueError("nothing to send")
        now_s = self._clock.now_s()
        self.writes.append((now_s, data))
        end_s = now_s + len(data) * self._settings.character_s
        if self._replies:
            self._due += [(end_s + lump.after_s, lump) for lump in self._replies.popleft()]
        return Sent(now_s, end_s, end_s)

    def read(self, until_s: float) -> Arrival | None:
        """Jump to the next lump, or to the deadline."""
        if self._is_closed:
            raise PortError("replaying", PortProblem.VANISHED, "the fake is closed")
        self._due.sort(key=lambda item: item[0])
        if self._due and self._due[0][0] <= max(until_s, self._clock.now_s()):
            at_s, lump = self._due.pop(0)
            self._clock.sleep_until(at_s)
            now_s = self._clock.now_s()
            return Arrival(lump.data, lump.marks, min(at_s, now_s) - self.traits.latency_s, now_s)
        self._clock.sleep_until(until_s)
        return None

    def discard(self) -> tuple[Arrival, ...]:
        """Take what is due by now."""
        taken: list[Arrival] = []
        while self._due and min(at_s for at_s, _ in self._due) <= self._clock.now_s():
            arrival = self.read(self._clock.now_s())
            assert arrival is not None
            taken.append(arrival)
        return tuple(taken)

    def close(self) -> None:
        """Give nothing from here on."""
        self._is_closed = True
