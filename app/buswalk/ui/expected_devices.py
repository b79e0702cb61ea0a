"""Of whom an answer is expected: silence of anybody else in a search is no fault. Strip and pages use it."""

from __future__ import annotations

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.search.events import Found
from buswalk.domain.visit.session_events import JobEnded, JobStarted, PlanKept, SessionStarted

SEARCH = "search"


class ExpectedDevices:
    """Knows the plan, what was found, and whether a search is running."""

    def __init__(self) -> None:
        self._planned: frozenset[int] = frozenset()
        self._found: set[int] = set()
        self._is_searching = False

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        if not isinstance(item, Kept):
            return
        match item.event:
            case SessionStarted():
                self._found.clear()
                self._is_searching = False
            case PlanKept(devices):
                self._planned = frozenset(one.server_address for one in devices)
            case Found(server_address=address):
                self._found.add(address)
            case JobStarted(name=name):
                self._is_searching = name == SEARCH
            case JobEnded():
                self._is_searching = False
            case _:
                pass

    def is_expected(self, server_address: int) -> bool:
        """Return whether this address ought to answer."""
        return not self._is_searching or server_address in self._planned or server_address in self._found

    @property
    def is_searching(self) -> bool:
        """Whether a search is running."""
        return self._is_searching
