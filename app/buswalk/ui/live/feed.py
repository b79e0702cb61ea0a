"""How the window talks with the bus process: commands one way, batches the other, ten times a second.

Plain Python: the Qt side is `queued_feed`. Pipes and processes are not known here.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from buswalk.bus.messages import Batch, Command, Kept, Skipped

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
    ends_job: bool = True
    """False where it is not the one that holds the line: a job goes on."""


class Feed(Protocol):
    """Both ways in one: what the shell is handed. A QueuedFeed, or a fake that plays batches."""

    @property
    def commands(self) -> Commands:
        """The way to the bus process."""

    def connect_batches(self, receive: BatchReceiver) -> None:
        """Have every batch delivered to `receive`, in the window's thread."""

    def connect_process_news(self, receive: Callable[[ProcessSaid], None]) -> None:
        """Have it told when a process died, came back or is given up."""

    def start(self) -> None:
        """Begin to deliver: the window is there."""

    def close(self) -> None:
        """Deliver nothing more: the window goes."""


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
