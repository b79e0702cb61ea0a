"""Starts and stops jobs for the page: one at a time, the next one when the running one has ended. No Qt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from buswalk.bus.messages import Command, Kept, StreamItem
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobStarted,
    PortClosed,
    PortFailed,
    PortOpened,
    PortReturned,
    SessionStarted,
)
from buswalk.ui.live.feed import Commands


@dataclass(frozen=True, slots=True)
class PortGone:
    """The port was lost, or could not be had."""

    port: str
    sentence: str
    at_s: float


class JobDesk:
    """Knows which job runs and how the port stands."""

    def __init__(self, commands: Commands) -> None:
        self._commands = commands
        self._next: tuple[Command, Callable[[], None]] | None = None
        self.running = ""
        """Name of the running job; empty while none runs."""
        self.running_from_s = 0.0
        self.has_port = False
        self.port_gone: PortGone | None = None
        self.returned_after_s = 0.0
        self.wall_time = ""

    def start(self, command: Command, when_sent: Callable[[], None]) -> None:
        """Send a command that begins a job, once the running one has been stopped; tell when it is sent."""
        if self.running:
            self._next = (command, when_sent)
            self._commands.stop()
        else:
            self._send(command, when_sent)

    def send(self, command: Command) -> None:
        """Send a command that needs no job to end."""
        self._send(command, _nothing)

    def stop(self) -> None:
        """Stop the running job."""
        self._next = None
        self._commands.stop()

    @property
    def is_about_to_start(self) -> bool:
        """Whether a job waits for the running one to end."""
        return self._next is not None

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        if isinstance(item, Kept):
            self._event(item.event)

    def _event(self, event: object) -> None:
        match event:
            case SessionStarted(wall_time=wall_time):
                self.wall_time = wall_time
                self.running, self.has_port, self.port_gone, self.returned_after_s = "", False, None, 0.0
            case PortOpened():
                self.has_port, self.port_gone = True, None
            case PortFailed(port, sentence, at_s):
                self.port_gone, self.returned_after_s = PortGone(port, sentence, at_s), 0.0
            case PortReturned(after_s=after_s):
                self.has_port, self.port_gone, self.returned_after_s = True, None, after_s
            case PortClosed():
                self.has_port = False
            case JobStarted(name=name, at_s=at_s):
                self.running, self.running_from_s = name, at_s
            case JobEnded():
                self.running = ""
                self._start_next()
            case _:
                pass

    def _start_next(self) -> None:
        if self._next is not None:
            command, when_sent = self._next
            self._next = None
            self._send(command, when_sent)

    def _send(self, command: Command, when_sent: Callable[[], None]) -> None:
        when_sent()
        self._commands.send(command)


def _nothing() -> None:
    """For commands whose sending changes nothing here."""
