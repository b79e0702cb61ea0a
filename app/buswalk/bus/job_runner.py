"""Runs a job in this process over a line and clock that look at the stop request every 50 ms."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias, TypeVar

from buswalk.bus.passing_line import PassingLine
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.sent import Sent
from buswalk.jobs.asking.stopped import Stopped

LOOK_EVERY_S = 0.05
Event = TypeVar("Event")


@dataclass(frozen=True, slots=True)
class Finished:
    """The job came to its own end."""


@dataclass(frozen=True, slots=True)
class StoppedByUser:
    """The user's stop ended it; what it said before stands."""


@dataclass(frozen=True, slots=True)
class PortLost:
    """The port was lost and did not come back in time; what the job said before stands."""

    port: str
    sentence: str


JobEnd: TypeAlias = Finished | StoppedByUser | PortLost


def run_job(job: Iterator[Event], show: Callable[[Event], None]) -> JobEnd:
    """Run a job to its end, whichever it is, showing each event as it comes.

    Raises:
        PortError: The port cannot be used for another reason than that it is gone, such as refused settings.
    """
    try:
        for event in job:
            show(event)
    except Stopped:
        return StoppedByUser()
    except PortError as error:
        if error.problem is not PortProblem.VANISHED:
            raise
        return PortLost(error.port, error.sentence)
    return Finished()


class StoppableClock:
    """A clock whose waits end when a stop is asked for."""

    def __init__(self, clock: Clock, stop: StopRequest) -> None:
        self._clock = clock
        self._stop = stop

    def now_s(self) -> float:
        """Present line time."""
        return self._clock.now_s()

    def sleep_until(self, time_s: float) -> None:
        """Wait in short pieces."""
        while self._clock.now_s() < time_s:
            self._stop.check()
            self._clock.sleep_until(min(time_s, self._clock.now_s() + LOOK_EVERY_S))


class StoppableLine(PassingLine):
    """A line whose reads end when a stop is asked for."""

    def __init__(self, line: Line, clock: Clock, stop: StopRequest) -> None:
        super().__init__(line)
        self._clock = clock
        self._stop = stop

    def write(self, data: bytes) -> Sent:
        """Hand over bytes, unless a stop was asked for."""
        self._stop.check()
        return self._line.write(data)

    def read(self, until_s: float) -> Arrival | None:
        """Wait in short pieces."""
        while True:
            self._stop.check()
            piece_s = min(until_s, self._clock.now_s() + LOOK_EVERY_S)
            arrival = self._line.read(piece_s)
            if arrival is not None or piece_s >= until_s:
                return arrival
