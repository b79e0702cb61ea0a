"""When each watched point has been asked once: what ends a watch that reads once."""

from __future__ import annotations

from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.watching.events import DeviceAbsent
from buswalk.domain.watching.plan import Place


class OneRound:
    """Follows the events of a watch."""

    def __init__(self) -> None:
        self._left: dict[Place, set[str]] = {}
        self._has_begun = False

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to ask."""
        return self._has_begun and not any(self._left.values())

    def take(self, event: object) -> None:
        """Take one event; a device that is taken for absent is not waited for."""
        match event:
            case PointsWatched(server_address=address, settings=settings, points=points):
                self._has_begun = True
                self._left[address, settings] = {one.name for one in points}
            case SamplesTaken(server_address=address, settings=settings, samples=samples):
                self._left.get((address, settings), set()).difference_update(one.point for one in samples)
            case DeviceAbsent(server_address=address, settings=settings):
                self._left.pop((address, settings), None)
            case _:
                pass
