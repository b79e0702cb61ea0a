"""One session of the window: a port that is ours or that could not be had, its asker, its record."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.job_runner import StoppableClock
from buswalk.bus.keeping import AskingRights, Keeping, KeepingEnds, session_started
from buswalk.bus.messages import RecordTold
from buswalk.bus.outbox import LineTime, Outbox
from buswalk.bus.parts import EngineParts, HeldLine
from buswalk.bus.port_return import Back, wait_for_return
from buswalk.bus.stop_request import StopRequest
from buswalk.bus.write_messages import EarlierWritesTold
from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.visit.recorder import Recorder, RecordState
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence

PORT_RETURN_S = 60.0


class Session:
    """Keeps every event before it is shown."""

    def __init__(self, parts: EngineParts, outbox: Outbox, stop: StopRequest, record_name: str, held: HeldLine | None):
        self._outbox = outbox
        self._stop = stop
        self.held = held
        self.evidence = Evidence()
        self.clock: Clock = held.clock if held is not None else parts.line_clock()
        wall_time = parts.wall_words(parts.wall_now_s() - self.clock.now_s())
        started = session_started(held.simulated if held is not None else None, wall_time, parts.program)
        adapter_id = held.adapter_id if held is not None else ""
        opened = parts.open_recorder(record_name, adapter_id, started)
        ends = KeepingEnds(outbox.put, lambda state: outbox.put(RecordTold(state)), parts.wall_now_s)
        self._keeping = Keeping(opened.recorder, self.clock, ends)
        self.tell_time()
        self._keeping.begin(started, opened.notices)
        self.earlier = opened.earlier
        if opened.earlier.writes.writes:
            outbox.put(EarlierWritesTold(opened.earlier))
        self.asker: Asker | None = None
        if held is not None:
            self.asker = self._new_asker(held.line, held)
            self._keeping.port_opened(held, self.asker.traits)
        self._keeping.plan(held.planned if held is not None and held.planned else opened.planned)

    def _new_asker(self, line: Line, held: HeldLine) -> Asker:
        return self._keeping.asker_on(line, self.evidence, AskingRights(self._stop, held.consents))

    # Keeping

    @property
    def record(self) -> RecordState:
        """How the record stands."""
        return self._keeping.record

    @property
    def recorder(self) -> Recorder:
        """The record itself: to be saved under another name."""
        return self._keeping.recorder

    def keep(self, event: object) -> None:
        """Record an event, then show it."""
        self._keeping.keep(event)

    def tell_record(self) -> None:
        """Tell how the record stands."""
        self._keeping.tell_record()

    def settle_if_due(self) -> None:
        """Between exchanges, so often as is promised."""
        self._keeping.settle_if_due()

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
        self._keeping.port_failed(error.port, error.sentence)

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
                self._keeping.port_returned(held.port, after_s)
                return True
            case _:
                return False

    def use_settings(self, settings: SerialSettings) -> None:
        """Set speed and framing. Raises PortError."""
        if self.asker is not None:
            self.asker.use_settings(settings)

    def close(self) -> None:
        """Give back port and record."""
        self._close_port()
        self._keeping.close()

    def abandon(self) -> None:
        """Give back the port after the window has died; the record keeps no end of this session, for it had none."""
        self._close_port()
        self._keeping.settle()

    def _close_port(self) -> None:
        if self.held is not None:
            self.held.line.close()
            self._keeping.port_closed(self.held.port)
