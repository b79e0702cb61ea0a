"""Of whom an answer is expected: silence of anybody else in a search is no fault. Strip and pages use it."""

from __future__ import annotations

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.search.events import Found
from buswalk.domain.site.comparison import alike
from buswalk.domain.statistics.fault_filter import SEARCHES
from buswalk.domain.visit.session_events import JobEnded, JobStarted, PlanKept, SessionStarted


class ExpectedDevices:
    """Knows the plan, what was found, and whether a search is running."""

    def __init__(self) -> None:
        self._planned: frozenset[tuple[int, SerialSettings]] = frozenset()
        self._found: set[tuple[int, SerialSettings]] = set()
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
                told = ((one.server_address, one.settings) for one in devices)
                self._planned = frozenset((address, alike(settings)) for address, settings in told if settings)
            case Found(server_address=address, settings=settings):
                self._found.add((address, alike(settings)))
            case PlacesLooked(asked=asked, answered=(now,)):
                self._found -= {(one.server_address, alike(one.settings)) for one in asked}
                self._found.add((now.server_address, alike(now.settings)))
            case JobStarted(name=name):
                self._is_searching = name in SEARCHES
            case JobEnded():
                self._is_searching = False
            case _:
                pass

    def is_expected(self, server_address: int, settings: SerialSettings) -> bool:
        """Return whether this address ought to answer when it is asked so: in a search, only at its own setting."""
        asked = (server_address, alike(settings))
        return not self._is_searching or asked in self._planned or asked in self._found

    @property
    def is_searching(self) -> bool:
        """Whether a search is running."""
        return self._is_searching
