"""Which watched points are not told, and why, in words. Plain Python."""

from __future__ import annotations

from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import PointsWatched
from buswalk.domain.visit.session_events import JobStarted, SessionStarted
from buswalk.domain.watching.events import PointNotRead, PointRefused, PointTold
from buswalk.ui.pages.trend.watched_board import PointKey


class UnreadPoints:
    """Folds what a watch says of points that it cannot have."""

    def __init__(self) -> None:
        self._why: dict[PointKey, str] = {}
        self._names: dict[PointKey, str] = {}

    def take(self, event: object) -> None:
        """Take an event of the stream; a new watch begins with nothing known."""
        match event:
            case SessionStarted() | JobStarted():
                self._why.clear()
            case PointsWatched(server_address=address, points=points):
                self._names.update({PointKey(address, one.name): _words(one) for one in points})
            case PointRefused(server_address=address, point=point):
                self._why[PointKey(address, point)] = _refusal(event)
            case PointNotRead(server_address=address, point=point, why=why):
                self._why[PointKey(address, point)] = f"not read: {why.value}"
            case PointTold(server_address=address, point=point):
                self._why.pop(PointKey(address, point), None)
            case _:
                pass

    def why(self, key: PointKey) -> str:
        """Return why a point is not told; empty if nothing is known against it."""
        return self._why.get(key, "")

    @property
    def sentence(self) -> str:
        """One point with its reason, or how many there are; empty for none."""
        if not self._why:
            return ""
        if len(self._why) > 1:
            return f"{len(self._why)} points are not told: F2 says why."
        ((key, why),) = self._why.items()
        return f"{self._names.get(key, key.point)} of {key.device} is {why}."


def _refusal(event: PointRefused) -> str:
    meaning = exception_meaning(event.exception_code)
    words = f"refused, exception {event.exception_code:02X}: {meaning.name}"
    return f"{words}; told before, so its map has changed" if event.told_before else words


def _words(point: Point) -> str:
    return point.words or point.name
