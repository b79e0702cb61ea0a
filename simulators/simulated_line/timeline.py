"""Line time of a simulated line: appointments in order, and jumps from one to the next. No real time here."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from itertools import count

FOREVER_S = float("inf")


class Entry:
    """One appointment, at `time_s` of line time; called off, its action is gone."""

    __slots__ = ("_order", "action", "time_s")

    def __init__(self, time_s: float, order: int, action: Callable[[], None]) -> None:
        self.time_s = time_s
        self._order = order
        self.action: Callable[[], None] | None = action

    def call_off(self) -> None:
        """Make it not happen. Calling off twice, or too late, does nothing."""
        self.action = None

    def __lt__(self, other: Entry) -> bool:
        if self.time_s != other.time_s:
            return self.time_s < other.time_s
        return self._order < other._order


class Timeline:
    """Runs appointments in order of time; those of the same time in the order they were made."""

    def __init__(self) -> None:
        self._now_s = 0.0
        self._entries: list[Entry] = []
        self._order = count()

    def now_s(self) -> float:
        """Present line time in seconds."""
        return self._now_s

    def at(self, time_s: float, action: Callable[[], None]) -> Entry:
        """Have `action` called when line time reaches `time_s`, now at the earliest."""
        entry = Entry(max(time_s, self._now_s), next(self._order), action)
        heapq.heappush(self._entries, entry)
        return entry

    def next_time_s(self) -> float:
        """Time of the next appointment; infinity if there is none."""
        entries = self._entries
        while entries:
            if entries[0].action is not None:
                return entries[0].time_s
            heapq.heappop(entries)
        return FOREVER_S

    def run_until(self, time_s: float) -> None:
        """Go to `time_s`, doing all that falls due on the way; nothing if it has passed."""
        while self.next_time_s() <= time_s:
            entry = heapq.heappop(self._entries)
            action = entry.action
            assert action is not None
            self._now_s = max(self._now_s, entry.time_s)
            action()
        if time_s > self._now_s:
            self._now_s = time_s
