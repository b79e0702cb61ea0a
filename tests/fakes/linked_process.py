"""A bus link whose batches and news can be waited for."""

from __future__ import annotations

import contextlib
import queue
import time
from collections import deque
from typing import TypeVar

from buswalk.bus.bus_link import BusLink, LinkTold
from buswalk.bus.kept_process import RunsProcess
from buswalk.bus.messages import Batch, Kept, StreamItem

WITHIN_S = 20.0
Wanted = TypeVar("Wanted")


class LinkedProcess:
    """Collects what comes."""

    def __init__(self, run: RunsProcess) -> None:
        self._batches: queue.Queue[Batch] = queue.Queue()
        self._told: queue.Queue[LinkTold] = queue.Queue()
        self._waiting: deque[StreamItem] = deque()
        self.items: list[StreamItem] = []
        self.link = BusLink(run, self._batches.put, self._told.put, time.monotonic)

    def wait_for(self, kind: type[Wanted]) -> Wanted:
        """Return the next stream item or kept event of a kind."""
        give_up_s = time.monotonic() + WITHIN_S
        while time.monotonic() < give_up_s:
            item = self._next()
            match item:
                case Kept(event=event) if isinstance(event, kind):
                    return event
                case _ if isinstance(item, kind):
                    return item
        raise AssertionError(f"no {kind.__name__} came within {WITHIN_S:.0f} s")

    def _next(self) -> StreamItem | None:
        """The next item, which is then among `items`; None if nothing came for a while."""
        if not self._waiting:
            with contextlib.suppress(queue.Empty):
                self._waiting.extend(self._batches.get(timeout=0.5).items)
        if not self._waiting:
            return None
        self.items.append(self._waiting.popleft())
        return self.items[-1]

    def wait_for_news(self) -> LinkTold:
        """Return what became of the process."""
        return self._told.get(timeout=WITHIN_S)

    def close(self) -> None:
        """End it."""
        self.link.close()
