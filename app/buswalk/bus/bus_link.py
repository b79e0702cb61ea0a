"""The window's side of the bus process: starts it, sends commands, takes batches, starts it again when it dies."""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count
from multiprocessing.connection import Connection
from typing import Protocol

from buswalk.bus.bus_process import STOP
from buswalk.bus.messages import Batch, Command, EndProcess, NumberedCommand, OpenPort

MOST_RESTARTS = 3
WITHIN_S = 60.0
END_WITHIN_S = 3.0


class RunsBusProcess(Protocol):
    """A function at the top of a module, so that a new process can find it."""

    def __call__(self, commands: Connection, stops: Connection, stream: Connection) -> None:
        """Serve until told to end."""


@dataclass(frozen=True, slots=True)
class LinkTold:
    """What became of the bus process.

    Attributes:
        sentence: What happened, what stands, what to do.
        is_running: False: it has died too often and is not started again.
    """

    sentence: str
    is_running: bool


class BusLink:
    """Owns the process. Batches and news are handed to `on_batch` and `on_told` in a thread of its own."""

    def __init__(
        self,
        run: RunsBusProcess,
        on_batch: Callable[[Batch], None],
        on_told: Callable[[LinkTold], None],
        now_s: Callable[[], float],
    ) -> None:
        self._run = run
        self._on_batch = on_batch
        self._on_told = on_told
        self._now_s = now_s
        self._context = multiprocessing.get_context("spawn")
        self._ids = count(1)
        self._starts: deque[float] = deque()
        self._opened: OpenPort | None = None
        self._lock = threading.Lock()
        self._is_ending = False
        self._start()

    def _start(self) -> None:
        command_far, self._commands = self._context.Pipe(duplex=False)
        stop_far, self._stops = self._context.Pipe(duplex=False)
        self._stream, stream_far = self._context.Pipe(duplex=False)
        self._process = self._context.Process(target=self._run, args=(command_far, stop_far, stream_far), daemon=True)
        self._process.start()
        for end in (command_far, stop_far, stream_far):
            end.close()
        self._starts.append(self._now_s())
        self._reader = threading.Thread(target=self._read, args=(self._stream,), daemon=True)
        self._reader.start()

    @property
    def process_id(self) -> int:
        """Of the process that runs now."""
        return self._process.pid or 0

    def send(self, command: Command) -> int:
        """Send a command; return the id by which its end will be told."""
        with self._lock:
            command_id = next(self._ids)
            if isinstance(command, OpenPort):
                self._opened = command
            with contextlib.suppress(OSError):
                self._commands.send(NumberedCommand(command_id, command))
            return command_id

    def stop(self) -> None:
        """Ask the running job to end; this overtakes all commands."""
        with contextlib.suppress(OSError):
            self._stops.send_bytes(STOP)

    def close(self) -> None:
        """End the process: port and record are given back."""
        self._is_ending = True
        self.stop()
        self.send(EndProcess())
        self._process.join(END_WITHIN_S)
        if self._process.is_alive():
            self._process.kill()
            self._process.join(END_WITHIN_S)
        self._reader.join(END_WITHIN_S)
        for end in (self._commands, self._stops, self._stream):
            end.close()

    # In the reader's thread

    def _read(self, stream: Connection) -> None:
        try:
            while True:
                batch = stream.recv()
                if isinstance(batch, Batch):
                    self._on_batch(batch)
        except (EOFError, OSError):
            if not self._is_ending:
                self._has_died()

    def _has_died(self) -> None:
        self._process.join(END_WITHIN_S)
        for end in (self._commands, self._stops, self._stream):
            end.close()
        now_s = self._now_s()
        while self._starts and self._starts[0] < now_s - WITHIN_S:
            self._starts.popleft()
        if len(self._starts) > MOST_RESTARTS:
            self._on_told(LinkTold(GIVEN_UP, is_running=False))
            return
        with self._lock:
            self._start()
        self._on_told(LinkTold(STARTED_AGAIN, is_running=True))
        if self._opened is not None:
            self.send(self._opened)


STARTED_AGAIN = (
    "the part of buswalk that holds the line ended unexpectedly and was started again; all that was shown is in the "
    "record, a running job was cut off: start it again"
)
GIVEN_UP = (
    f"the part of buswalk that holds the line ended more than {MOST_RESTARTS} times within a minute and is not started "
    "again; the port is free, all that was shown is in the record: close buswalk and start it anew"
)
