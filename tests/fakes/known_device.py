"""A serial device that keeps what it is told, fails on demand, and moves a clock."""

from __future__ import annotations

from collections import deque

from buswalk.domain.line.line_traits import LatencySource, MarkReporting
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.serial_device import DeviceNature, Taken
from tests.fakes.jumping_clock import JumpingClock

REAL_PORT = DeviceNature(is_pseudo_terminal=False, latency_s=0.016, latency_source=LatencySource.ASKED)


class KnownDevice:
    """Verbs are kept in `done`, each with its time."""

    def __init__(self, clock: JumpingClock, nature: DeviceNature = REAL_PORT) -> None:
        self._clock = clock
        self.nature = nature
        self.done: list[tuple[float, str]] = []
        self.failures: deque[BaseException] = deque()
        self.marks = MarkReporting.PER_BYTE
        self.write_takes_s = 0.0
        self.set_up_takes_s = 0.0
        self.drain_takes_s = 0.0
        self.take_takes_s = 0.0
        self._due: list[tuple[float, Taken]] = []

    def play(self, at_s: float, data: bytes) -> None:
        """Let bytes wait from then on."""
        self._due.append((at_s, Taken(data, ())))

    def play_taken(self, at_s: float, taken: Taken) -> None:
        """Let this be what a read gives from then on."""
        self._due.append((at_s, taken))

    def set_up(self, settings: SerialSettings) -> MarkReporting:
        self._do(f"set {settings}")
        self._clock.sleep_until(self._clock.now_s() + self.set_up_takes_s)
        return self.marks

    def write(self, data: bytes) -> None:
        self._do(f"write {data.hex(' ')}")
        self._clock.sleep_until(self._clock.now_s() + self.write_takes_s)

    def wait_until_sent(self) -> None:
        self._do("drain")
        self._clock.sleep_until(self._clock.now_s() + self.drain_takes_s)

    def drive(self, level: bool) -> None:
        self._do("RTS on" if level else "RTS off")

    def wait(self, seconds: float) -> bool:
        self._fail()
        until_s = self._clock.now_s() + seconds
        due_s = min((at_s for at_s, _ in self._due), default=float("inf"))
        self._clock.sleep_until(min(due_s, until_s))
        return due_s <= self._clock.now_s()

    def take(self) -> Taken:
        self._fail()
        now_s = self._clock.now_s()
        taken = [one for at_s, one in self._due if at_s <= now_s]
        self._due = [(at_s, one) for at_s, one in self._due if at_s > now_s]
        self._clock.sleep_until(now_s + self.take_takes_s)
        return Taken(b"".join(one.data for one in taken), tuple(mark for one in taken for mark in one.marks))

    def close(self) -> None:
        self.done.append((self._clock.now_s(), "close"))

    def _do(self, what: str) -> None:
        self.done.append((self._clock.now_s(), what))
        self._fail()

    def _fail(self) -> None:
        if self.failures:
            raise self.failures.popleft()
