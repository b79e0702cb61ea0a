"""The keeping of a session, by window and commands alike: each event is in the record before anybody is shown it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import count

from buswalk.bus.job_runner import StoppableClock, StoppableLine
from buswalk.bus.messages import Kept
from buswalk.bus.parts import HeldLine, SimulatedControls
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line_events import EventSink, ExchangeDone, LineEvent
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.recorder import Recorder, RecordProblem, RecordState
from buswalk.domain.visit.session_events import (
    MarkMade,
    MarkSource,
    PlanKept,
    PortClosed,
    PortFailed,
    PortOpened,
    PortReturned,
    SessionStarted,
    TraitsLearnt,
)
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.asking.write_guard import NO_CONSENT, Consents

SETTLE_EVERY_S = 5.0
TELL_RECORD_EVERY = 20
"""So many exchanges pass between two tellings of how many are kept."""


@dataclass(frozen=True, slots=True)
class KeepingEnds:
    """Who hears of it.

    Attributes:
        show: Takes each event once it is kept.
        tell_record: Takes how the record stands: now and then, and at once when it can no longer be written.
        wall_now_s: Seconds since 1970 by the computer's clock, by which the record is settled.
    """

    show: Callable[[Kept], None]
    tell_record: Callable[[RecordState], None]
    wall_now_s: Callable[[], float]


@dataclass(frozen=True, slots=True)
class AskingRights:
    """What may be sent, and what ends it."""

    stop: StopRequest
    consents: Consents = NO_CONSENT


def session_started(simulated: SimulatedControls | None, wall_time: str, program: str) -> SessionStarted:
    """Return what a session begins with; `wall_time` is that of line time 0."""
    return SessionStarted(
        wall_time=wall_time,
        factor=1.0 if simulated is None else simulated.factor,
        is_simulated=simulated is not None,
        program=program,
    )


class Keeping:
    """One session of a record. Where the record fails, work goes on and does not pretend to have one."""

    def __init__(self, recorder: Recorder, clock: Clock, ends: KeepingEnds) -> None:
        self._recorder = recorder
        self._clock = clock
        self._ends = ends
        self._problem = recorder.state.problem
        self._settled_at_s = ends.wall_now_s()
        self._numbers: Iterator[int] = count(recorder.next_exchange_number)
        self._traits: LineTraits | None = None

    @property
    def record(self) -> RecordState:
        """How the record stands."""
        state = self._recorder.state
        return replace(state, problem=self._problem) if self._problem else state

    @property
    def recorder(self) -> Recorder:
        """The record itself: to be saved under another name."""
        return self._recorder

    def begin(self, started: SessionStarted, notices: tuple[str, ...]) -> None:
        """Open the session, and keep why it is in another file than the expected one."""
        self.keep(started)
        for notice in notices:
            self.keep(MarkMade(notice, MarkSource.PROGRAM, self._clock.now_s()))
        self.tell_record()

    def keep(self, event: object) -> None:
        """Record an event, then show it."""
        at_s = self._clock.now_s()
        row = 0
        if not self._problem:
            row = self._write(lambda: self._recorder.keep(event, at_s))
        self._ends.show(Kept(row, event, at_s))

    def tell_record(self) -> None:
        """Tell how the record stands."""
        self._ends.tell_record(self.record)

    def settle_if_due(self) -> None:
        """Between exchanges, so often as is promised."""
        now_s = self._ends.wall_now_s()
        if abs(now_s - self._settled_at_s) >= SETTLE_EVERY_S:
            self._settled_at_s = now_s
            self.settle()

    def settle(self) -> None:
        """Bring what is kept into the main file."""
        if not self._problem:
            self._write(self._settle)

    def close(self) -> None:
        """End the session and give the file back, whole or not."""
        self.tell_record()
        self._write(self._close_record)

    # The line

    def asker_on(self, line: Line, evidence: EventSink, rights: AskingRights) -> Asker:
        """Return an asker whose events are kept, then handed to `evidence`; its exchanges are numbered on."""
        heard = StoppableLine(line, self._clock, rights.stop)
        clock = StoppableClock(self._clock, rights.stop)

        def take(event: LineEvent) -> None:
            self.keep(event)
            evidence(event)
            if isinstance(event, ExchangeDone):
                self._after_exchange(event.exchange.number, asker.traits)

        asker = Asker(heard, clock, take, rights.consents, self._numbers)
        return asker

    def _after_exchange(self, number: int, traits: LineTraits) -> None:
        if number % TELL_RECORD_EVERY == 0:
            self.tell_record()
        if traits != self._traits:
            self._traits = traits
            self.keep(TraitsLearnt(traits, self._clock.now_s()))
        self.settle_if_due()

    def port_opened(self, held: HeldLine, traits: LineTraits) -> None:
        """Keep that the port is ours from now on, and what it can tell."""
        self._traits = traits
        self.keep(PortOpened(held.port, held.adapter, held.line.settings, traits, self._clock.now_s()))

    def port_failed(self, port: str, sentence: str) -> None:
        """Keep that the port could not be had, or is lost."""
        self.keep(PortFailed(port, sentence, self._clock.now_s()))

    def port_returned(self, port: str, after_s: float) -> None:
        """Keep that it is back."""
        self.keep(PortReturned(port, after_s, self._clock.now_s()))

    def port_closed(self, port: str) -> None:
        """Keep that it was given back."""
        self.keep(PortClosed(port, self._clock.now_s()))

    def plan(self, devices: tuple[PlannedDevice, ...]) -> None:
        """Keep the planned list that comes with the line or goes on from the file; nothing where there is none."""
        if devices:
            self.keep(PlanKept(devices, self._clock.now_s()))

    # How

    def _write(self, act: Callable[[], int]) -> int:
        try:
            return act()
        except RecordProblem as problem:
            self._problem = problem.sentence
            self.tell_record()
            return 0

    def _settle(self) -> int:
        self._recorder.settle()
        return 0

    def _close_record(self) -> int:
        self._recorder.close()
        return 0
