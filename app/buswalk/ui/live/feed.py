"""How the window talks with the bus process: commands one way, batches the other, ten times a second.

`Feed` is what presenters' owners are handed; `QueuedFeed` is the Qt side of it: another thread offers batches, a timer
delivers them in the window's thread. Pipes and processes are not known here.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QObject, QTimer, Signal

from buswalk.bus.messages import Batch, Command, Kept, Skipped

DELIVERIES_A_SECOND = 10
MOST_ITEMS_WAITING = 20_000
"""What the window may lag behind; more is left out and told as `Skipped`, to be read from the record."""


class Commands(Protocol):
    """The way to the bus process."""

    def send(self, command: Command) -> int:
        """Send a command, return the id that its `Done` or `Refused` will carry. Never waits."""

    def stop(self) -> None:
        """Stop the job, by the pipe of its own. Never waits."""


BatchReceiver = Callable[[Batch], None]


@dataclass(frozen=True, slots=True)
class ProcessSaid:
    """What became of a process that the window needs: killed, restarted, given up. Words are finished."""

    sentence: str
    is_over: bool
    """True where it is not started again."""


class Feed(Protocol):
    """Both ways in one: what the shell is handed. The signals of a QueuedFeed, or a fake that plays batches."""

    @property
    def commands(self) -> Commands:
        """The way to the bus process."""

    def connect_batches(self, receive: BatchReceiver) -> None:
        """Have every batch delivered to `receive`, in the window's thread."""

    def connect_process_news(self, receive: Callable[[ProcessSaid], None]) -> None:
        """Have it told when a process died, came back or is given up."""


class BatchQueue:
    """Batches between a reader thread and the window: bounded, never blocks the reader. Thread-safe, no Qt."""

    def __init__(self, most_items: int = MOST_ITEMS_WAITING) -> None:
        self._most_items = most_items
        self._lock = threading.Lock()
        self._waiting: deque[Batch] = deque()
        self._items = 0

    def offer(self, batch: Batch) -> None:
        """Put a batch in. When full, its items are left out but its time and what it said was skipped stand."""
        with self._lock:
            if self._items + len(batch.items) > self._most_items:
                batch = _without_rows(batch)
            self._waiting.append(batch)
            self._items += len(batch.items)

    def drain(self) -> tuple[Batch, ...]:
        """Take all that waits, in order."""
        with self._lock:
            taken = tuple(self._waiting)
            self._waiting.clear()
            self._items = 0
        return taken


def _without_rows(batch: Batch) -> Batch:
    """Return a batch whose kept events are replaced by one `Skipped`; answers to commands are never left out."""
    rows = [item.row for item in batch.items if isinstance(item, Kept)]
    rest = tuple(item for item in batch.items if not isinstance(item, Kept))
    skipped = (Skipped(rows[0], len(rows)),) if rows else ()
    return Batch(batch.line_time_s, batch.factor, batch.is_walking, skipped + rest)


class QueuedFeed(QObject):
    """Delivers what another thread offers, ten times a second, in the thread it lives in."""

    batch_came = Signal(object)
    process_said = Signal(object)

    def __init__(self, commands: Commands, queue: BatchQueue) -> None:
        super().__init__()
        self._commands = commands
        self._queue = queue
        self._news: deque[ProcessSaid] = deque()
        self._timer = QTimer(self)
        self._timer.setInterval(1000 // DELIVERIES_A_SECOND)
        self._timer.timeout.connect(self.deliver)

    @property
    def commands(self) -> Commands:
        """The way to the bus process."""
        return self._commands

    def connect_batches(self, receive: BatchReceiver) -> None:
        """Have every batch delivered to `receive`."""
        self.batch_came.connect(receive)

    def connect_process_news(self, receive: Callable[[ProcessSaid], None]) -> None:
        """Have news of processes delivered to `receive`, whatever thread they are told from."""
        self.process_said.connect(receive)

    def say(self, said: ProcessSaid) -> None:
        """Tell news of a process; any thread may: it is delivered with the next batches, behind them."""
        self._news.append(said)

    def start(self) -> None:
        """Begin to deliver."""
        self._timer.start()

    def close(self) -> None:
        """Deliver nothing more."""
        self._timer.stop()

    def deliver(self) -> None:
        """Deliver what waits now."""
        for batch in self._queue.drain():
            self.batch_came.emit(batch)
        while self._news:
            self.process_said.emit(self._news.popleft())
