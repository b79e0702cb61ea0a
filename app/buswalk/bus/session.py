"""One session: a port that is ours or that could not be had, its asker, its record. The only writer of the record."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import count

from buswalk.bus.job_runner import StoppableClock, StoppableLine
from buswalk.bus.messages import Kept, RecordTold
from buswalk.bus.outbox import LineTime, Outbox
from buswalk.bus.parts import EngineParts, HeldLine
from buswalk.bus.port_return import Back, wait_for_return
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, LineEvent
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
from buswalk.jobs.searching.evidence import Evidence

SETTLE_EVERY_S = 5.0
PORT_RETURN_S = 60.0
TELL_RECORD_EVERY = 20
"""So many exchanges pass between two tellings of how many are kept."""


class Session:
    """Keeps every event before it is shown."""

    def __init__(self, parts: EngineParts, outbox: Outbox, stop: StopRequest, record_name: str, held: HeldLine | None):
        self._parts = parts
        self._outbox = outbox
        self._stop = stop
        self.held = held
        self.evidence = Evidence()
        self.clock: Clock = held.clock if held is not None else parts.line_clock()
        self._traits: LineTraits | None = None
        self._settled_at_s = parts.wall_now_s()
        started = self._started()
        adapter_id = held.adapter_id if held is not None else ""
        opened = parts.open_recorder(record_name, adapter_id, started)
        self._recorder: Recorder = opened.recorder
        self._numbers: Iterator[int] = count(self._recorder.next_exchange_number)
        self._problem = self._recorder.state.problem
        self.tell_time()
        self.keep(started)
        for notice in opened.notices:
            self.keep(MarkMade(notice, MarkSource.PROGRAM, self.clock.now_s()))
        self._tell_record()
        self.asker: Asker | None = None
        if held is not None:
            self.asker = self._new_asker(held.line, held)
            self._traits = self.asker.traits
            self.keep(PortOpened(held.port, held.adapter, held.line.settings, self._traits, self.clock.now_s()))
        planned = held.planned if held is not None and held.planned else opened.planned
        if planned:
            self.keep(PlanKept(planned, self.clock.now_s()))

    def _started(self) -> SessionStarted:
        now_s = self.clock.now_s()
        simulated = self.held.simulated if self.held is not None else None
        return SessionStarted(
            wall_time=self._parts.wall_words(self._parts.wall_now_s() - now_s),
            factor=1.0 if simulated is None else simulated.factor,
            is_simulated=simulated is not None,
            program=self._parts.program,
        )

    def _new_asker(self, line: Line, held: HeldLine) -> Asker:
        stoppable = StoppableLine(line, held.clock, self._stop)
        clock = StoppableClock(held.clock, self._stop)
        return Asker(stoppable, clock, self._take, held.consents, self._numbers)

    # Keeping

    @property
    def record(self) -> RecordState:
        """How the record stands."""
        state = self._recorder.state
        return replace(state, problem=self._problem) if self._problem else state

    @property
    def recorder(self) -> Recorder:
        """The record itself: to be saved under another name."""
        return self._recorder

    def keep(self, event: object) -> None:
        """Record an event, then show it."""
        at_s = self.clock.now_s()
        row = 0
        if not self._problem:
            row = self._write(lambda: self._recorder.keep(event, at_s))
        self._outbox.put(Kept(row, event, at_s))

    def _take(self, event: LineEvent) -> None:
        self.keep(event)
        self.evidence(event)
        if isinstance(event, ExchangeDone):
            self._after_exchange(event.exchange.number)

    def _after_exchange(self, number: int) -> None:
        if number % TELL_RECORD_EVERY == 0:
            self._tell_record()
        if self.asker is not None and self.asker.traits != self._traits:
            self._traits = self.asker.traits
            self.keep(TraitsLearnt(self._traits, self.clock.now_s()))
        self.settle_if_due()

    def settle_if_due(self) -> None:
        """Between exchanges, so often as is promised."""
        now_s = self._parts.wall_now_s()
        if not self._problem and abs(now_s - self._settled_at_s) >= SETTLE_EVERY_S:
            self._settled_at_s = now_s
            self._write(self._settle)

    def _settle(self) -> int:
        self._recorder.settle()
        return 0

    def _write(self, act: Callable[[], int]) -> int:
        """Work goes on without a record, and does not pretend to have one."""
        try:
            return act()
        except RecordProblem as problem:
            self._problem = problem.sentence
            self._tell_record()
            return 0

    def _tell_record(self) -> None:
        self._outbox.put(RecordTold(self.record))

    def tell_time(self) -> None:
        """Tell how time passes on this line."""
        simulated = self.held.simulated if self.held is not None else None
        if simulated is None:
            self._outbox.set_time(LineTime(self.clock.now_s, 1.0, is_walking=True))
        else:
            self._outbox.set_time(LineTime(self.clock.now_s, simulated.factor, simulated.is_walking))

    # The port

    def port_failed(self, error: PortError) -> None:
        """Say that the port could not be had or is lost."""
        self.keep(PortFailed(error.port, error.sentence, self.clock.now_s()))

    def wait_for_port(self, within_s: float = PORT_RETURN_S) -> bool:
        """Wait for a lost port; tell whether it is back. Raises Stopped."""
        held = self.held
        if held is None or self.asker is None:
            return False
        settings = self.asker.settings
        clock = StoppableClock(held.clock, self._stop)
        match wait_for_return(lambda: held.open_again(settings), clock, within_s):
            case Back(line, after_s):
                self.asker = self._new_asker(line, held)
                self.held = replace(held, line=line)
                self.keep(PortReturned(held.port, after_s, self.clock.now_s()))
                return True
            case _:
                return False

    def use_settings(self, settings: SerialSettings) -> None:
        """Set speed and framing. Raises PortError."""
        if self.asker is not None:
            self.asker.use_settings(settings)

    def close(self) -> None:
        """Give back port and record."""
        if self.held is not None:
            self.held.line.close()
            self.keep(PortClosed(self.held.port, self.clock.now_s()))
        self._tell_record()
        if not self._problem:
            self._write(self._close_record)

    def abandon(self) -> None:
        """Give back the port after the window has died; the record keeps no end of this session, for it had none."""
        if self.held is not None:
            self.held.line.close()
            self.keep(PortClosed(self.held.port, self.clock.now_s()))
        if not self._problem:
            self._write(self._settle)

    def _close_record(self) -> int:
        self._recorder.close()
        return 0
