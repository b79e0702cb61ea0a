"""A process of ours that is started again when it dies: its pipes, its reader, and the limit of restarts."""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
from collections import deque
from collections.abc import Callable
from functools import partial
from multiprocessing.connection import Connection
from typing import Protocol

MOST_RESTARTS = 3
WITHIN_S = 60.0
END_WITHIN_S = 3.0


class RunsProcess(Protocol):
    """A function at the top of a module, so that a new process can find it."""

    def __call__(self, *ends: Connection) -> None:
        """Serve on the ends of pipes: those it reads first, the one it writes last. Returns when it is to end."""


def _name_of(run: RunsProcess) -> str:
    """Return what the process is called in this program's list of its children."""
    function = run.func if isinstance(run, partial) else run
    return str(getattr(function, "__name__", "process"))


class RestartLimit:
    """So many restarts within so long a time, then no more."""

    def __init__(self, now_s: Callable[[], float]) -> None:
        self._now_s = now_s
        self._restarts: deque[float] = deque()

    def may_restart(self) -> bool:
        """Count a restart, unless there were too many of late."""
        now_s = self._now_s()
        while self._restarts and self._restarts[0] < now_s - WITHIN_S:
            self._restarts.popleft()
        if len(self._restarts) >= MOST_RESTARTS:
            return False
        self._restarts.append(now_s)
        return True


class KeptProcess:
    """Owns one process. `on_message` and `on_died` are called in a thread of its own.

    `on_died` is told whether the process was started again.
    """

    def __init__(
        self,
        run: RunsProcess,
        pipes: int,
        on_message: Callable[[object], None],
        on_died: Callable[[bool], None],
        now_s: Callable[[], float],
    ) -> None:
        self._run = run
        self._pipes = pipes
        self._on_message = on_message
        self._on_died = on_died
        self._limit = RestartLimit(now_s)
        self._context = multiprocessing.get_context("spawn")
        self._lock = threading.Lock()
        self._is_ending = False
        self._start()

    def _start(self) -> None:
        pairs = [self._context.Pipe(duplex=False) for _ in range(self._pipes)]
        self._stream, stream_far = self._context.Pipe(duplex=False)
        far = [*(pair[0] for pair in pairs), stream_far]
        self._to = [pair[1] for pair in pairs]
        self._process = self._context.Process(target=self._run, args=tuple(far), daemon=True, name=_name_of(self._run))
        self._process.start()
        for end in far:
            end.close()
        self._reader = threading.Thread(target=self._read, args=(self._stream,), daemon=True)
        self._reader.start()

    @property
    def process_id(self) -> int:
        """Of the process that runs now."""
        return self._process.pid or 0

    def send(self, pipe: int, message: object) -> None:
        """Send by the pipe of that number. What a dying process does not take is lost: its end will be told."""
        with self._lock, contextlib.suppress(OSError):
            self._to[pipe].send(message)

    def close(self) -> None:
        """Let the process end by closing its pipes; end it by force if it does not."""
        self._is_ending = True
        with self._lock:
            for end in self._to:
                end.close()
        self._process.join(END_WITHIN_S)
        if self._process.is_alive():
            self._process.kill()
            self._process.join(END_WITHIN_S)
        self._reader.join(END_WITHIN_S)
        self._stream.close()

    # In the reader's thread

    def _read(self, stream: Connection) -> None:
        try:
            while True:
                self._on_message(stream.recv())
        except (EOFError, OSError):
            if not self._is_ending:
                self._has_died()

    def _has_died(self) -> None:
        self._process.join(END_WITHIN_S)
        with self._lock:
            for end in (*self._to, self._stream):
                end.close()
            is_again = self._limit.may_restart()
            if is_again:
                self._start()
        self._on_died(is_again)
