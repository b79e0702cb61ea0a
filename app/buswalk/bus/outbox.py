"""What waits to be sent to the window. Filling never waits; what a slow window cannot take is left out and said."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from buswalk.bus.messages import Batch, Kept, Skipped, StreamItem

MOST_KEPT = 20_000
"""So many events wait at most: about a minute of a hurried demo line."""
MOST_A_BATCH = 2_000


@dataclass(frozen=True, slots=True)
class LineTime:
    """How time passes on the line in use."""

    now_s: Callable[[], float]
    factor: float
    is_walking: bool


class Outbox:
    """Filled by the engine, emptied by the sender: two threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._items: deque[StreamItem] = deque()
        self._kept = 0
        self._skipped: list[int] = []
        self._time = LineTime(lambda: 0.0, 1.0, is_walking=False)

    def set_time(self, time: LineTime) -> None:
        """Tell from now on how this line's time passes."""
        with self._lock:
            self._time = time

    def put(self, item: StreamItem) -> None:
        """Add an item. Where too many events wait, the oldest is left out: it is in the record."""
        with self._lock:
            self._items.append(item)
            if isinstance(item, Kept):
                self._kept += 1
                if self._kept > MOST_KEPT:
                    self._leave_one_out()

    def _leave_one_out(self) -> None:
        for place, item in enumerate(self._items):
            if isinstance(item, Kept):
                del self._items[place]
                self._kept -= 1
                self._skipped.append(item.row)
                return

    def take(self) -> Batch:
        """Return what waits, oldest first, and how time stands."""
        with self._lock:
            skipped, self._skipped = self._skipped, []
            items: list[StreamItem] = [Skipped(skipped[0], len(skipped))] if skipped else []
            while self._items and len(items) < MOST_A_BATCH:
                item = self._items.popleft()
                self._kept -= isinstance(item, Kept)
                items.append(item)
            return Batch(self._time.now_s(), self._time.factor, self._time.is_walking, tuple(items))

    @property
    def is_empty(self) -> bool:
        """Whether nothing waits."""
        with self._lock:
            return not self._items and not self._skipped
