"""The engine's port with its session and its lock: opened, minded between jobs, lost and taken again, given back."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.cannot_do import NO_PORT, CannotDo
from buswalk.bus.clock_watch import ClockWatch
from buswalk.bus.messages import HandsOffered, OpenPort
from buswalk.bus.outbox import Outbox
from buswalk.bus.parts import EngineParts
from buswalk.bus.session import Session
from buswalk.bus.session_writing import SessionWriting
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.port_error import PortError
from buswalk.domain.registers.writing.events import LockedBecause
from buswalk.domain.visit.session_events import MarkMade, MarkSource

LOOK_EVERY_S = 0.05


class EnginePort:
    """One session at a time, or none; who asks for what is not there is refused in a sentence."""

    def __init__(
        self, parts: EngineParts, outbox: Outbox, stop: StopRequest, counted_now_s: Callable[[], float]
    ) -> None:
        self._parts = parts
        self._outbox = outbox
        self._stop = stop
        self._counted_now_s = counted_now_s
        self._watch = ClockWatch(parts.wall_now_s, counted_now_s)
        self._session: Session | None = None
        self._writing: SessionWriting | None = None

    # What is there

    def any_session(self) -> Session:
        """Return the session, with a port or without. Raises CannotDo."""
        if self._session is None:
            raise CannotDo(NO_PORT)
        return self._session

    def any_writing(self) -> SessionWriting:
        """Return the guarded writes of a session that has a port. Raises CannotDo."""
        if self._writing is None or self.any_session().asker is None:
            raise CannotDo(NO_PORT)
        return self._writing

    @property
    def listens_between_jobs(self) -> bool:
        """Whether there is a line whose time passes without being asked for."""
        session = self._session
        if session is None or session.asker is None or session.held is None:
            return False
        return session.held.simulated is None or session.held.simulated.is_walking

    # Opened and given back

    def open(self, command: OpenPort) -> None:
        """Take a port, where none is held. Raises CannotOpen, and PortError, which is kept in a session of its own."""
        try:
            held = self._parts.open_line(command.port, command.settings, command.options)
        except PortError as error:
            self._session = Session(self._parts, self._outbox, self._stop, command.port, None)
            self._session.port_failed(error)
            raise
        self._session = Session(self._parts, self._outbox, self._stop, held.record_name, held)
        self._writing = SessionWriting(self._session, self._counted_now_s, self._outbox.put)
        if held.simulated is not None:
            self._outbox.put(HandsOffered(held.simulated.devices))

    def close(self) -> None:
        """Give back port and record, and say of each write what is known."""
        if self._writing is not None:
            self._writing.finish()
        if self._session is not None:
            self._session.close()
        self._session = self._writing = None

    def abandon(self) -> None:
        """Give back the port after the window has died."""
        if self._session is not None:
            self._session.abandon()

    # Between jobs

    def listen_on(self) -> None:
        """Listen to the line: what others say is evidence, and a lost port is noticed. Raises PortError and Stopped."""
        session = self._session
        if session is None or session.asker is None or session.held is None or not self.listens_between_jobs:
            return
        factor = session.held.simulated.factor if session.held.simulated is not None else 1.0
        session.asker.listen_until(session.clock.now_s() + LOOK_EVERY_S * factor)

    def look_at_writes(self) -> None:
        """Take the looks that are due; where time stands without a job, let it pass until then.

        Raises:
            PortError: The port was lost.
            Stopped: The user's stop.
        """
        session, writing = self._session, self._writing
        if session is None or writing is None or session.asker is None or writing.next_look_s == float("inf"):
            return
        if not self.listens_between_jobs:
            session.asker.listen_until(writing.next_look_s)
        writing.look_if_due()

    def settle_if_due(self) -> None:
        """Let the record be settled, so often as is promised."""
        if self._session is not None:
            self._session.settle_if_due()

    # At any time

    def look_at_clocks(self) -> None:
        """Tell how long the lock is still open, and mark a jump of the computer's clock."""
        if self._writing is not None:
            self._writing.watch()
        words = self._watch.look()
        if words and self._session is not None:
            self._session.keep(MarkMade(words, MarkSource.CLOCK, self._session.clock.now_s()))

    def lose(self, error: PortError) -> None:
        """The port has gone: say it, and lock writing."""
        if self._writing is not None:
            self._writing.shut(LockedBecause.PORT_CLOSED)
        self.any_session().port_failed(error)

    def wait_for_return(self) -> bool:
        """Wait a while for the port that was lost; tell whether it is back. Raises Stopped."""
        return self.any_session().wait_for_port()
