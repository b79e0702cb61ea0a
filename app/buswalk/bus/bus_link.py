"""The window's side of the bus process: sends commands, takes batches, has the port opened again after a restart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import count

from buswalk.bus.kept_process import MOST_RESTARTS, KeptProcess, RunsProcess
from buswalk.bus.messages import Batch, Command, EndProcess, NumberedCommand, OpenPort

COMMANDS, STOPS = range(2)
STOP = "stop"
STARTED_AGAIN = (
    "the part of buswalk that holds the line ended unexpectedly and was started again; all that was shown is in the "
    "record, a running job was cut off: start it again"
)
GIVEN_UP = (
    f"the part of buswalk that holds the line ended more than {MOST_RESTARTS} times within a minute and is not started "
    "again; the port is free, all that was shown is in the record: close buswalk and start it anew"
)


@dataclass(frozen=True, slots=True)
class LinkTold:
    """What became of a process of ours.

    Attributes:
        sentence: What happened, what stands, what to do.
        is_running: False: it has died too often and is not started again.
    """

    sentence: str
    is_running: bool


class BusLink:
    """Owns the bus process. Batches and news are handed over in a thread of its own."""

    def __init__(
        self,
        run: RunsProcess,
        on_batch: Callable[[Batch], None],
        on_told: Callable[[LinkTold], None],
        now_s: Callable[[], float],
    ) -> None:
        self._on_batch = on_batch
        self._on_told = on_told
        self._ids = count(1)
        self._opened: OpenPort | None = None
        self._process = KeptProcess(run, len((COMMANDS, STOPS)), self._take, self._has_died, now_s)

    @property
    def process_id(self) -> int:
        """Of the process that runs now."""
        return self._process.process_id

    def send(self, command: Command) -> int:
        """Send a command; return the id by which its end will be told."""
        command_id = next(self._ids)
        if isinstance(command, OpenPort):
            self._opened = command
        self._process.send(COMMANDS, NumberedCommand(command_id, command))
        return command_id

    def stop(self) -> None:
        """Ask the running job to end; this overtakes all commands."""
        self._process.send(STOPS, STOP)

    def close(self) -> None:
        """End the process: port and record are given back."""
        self.stop()
        self.send(EndProcess())
        self._process.close()

    def _take(self, message: object) -> None:
        if isinstance(message, Batch):
            self._on_batch(message)

    def _has_died(self, is_again: bool) -> None:
        self._on_told(LinkTold(STARTED_AGAIN if is_again else GIVEN_UP, is_running=is_again))
        if is_again and self._opened is not None:
            self.send(self._opened)
