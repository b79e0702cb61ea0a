"""A replaying line on which one read raises: a stop, or a port that vanishes."""

from __future__ import annotations

from buswalk.domain.line.arrival import Arrival
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import Lump, ReplayingLine


class FailingLine(ReplayingLine):
    """Raises `error` once, at the read with this number (from 1), before it takes anything."""

    def __init__(self, clock: JumpingClock, at_read: int, error: Exception, *replies: tuple[Lump, ...]) -> None:
        super().__init__(clock, *replies)
        self._at_read = at_read
        self._error = error
        self._reads = 0

    def read(self, until_s: float) -> Arrival | None:
        """Read, or raise."""
        self._reads += 1
        if self._reads == self._at_read:
            raise self._error
        return super().read(until_s)
