"""Waits for bytes in short looks, so that the last look that found nothing is never long ago: it dates what comes."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.line.protocols import Clock

LONGEST_LOOK_S = 0.001
"""One look of the system's own waiting. Shorter dates bytes better and wakes the computer more often."""


class EmptyLooks:
    """Waits with a deadline, and knows until when there was nothing.

    The time kept is when a look must have ended at the earliest, not when the program went on: a busy computer
    may wake us late, and a byte may have come meanwhile.
    """

    def __init__(self, clock: Clock, looks: Callable[[float], bool]) -> None:
        """Take the look itself: it waits so many seconds at most and tells whether something is there."""
        self._clock = clock
        self._looks = looks
        self.last_empty_s = clock.now_s()

    def wait(self, until_s: float) -> bool:
        """Return whether something is there: at once if so, else at the deadline, never before. Looks at least once."""
        while True:
            began_s = self._clock.now_s()
            look_s = min(LONGEST_LOOK_S, max(0.0, until_s - began_s))
            if self._looks(look_s):
                return True
            self.last_empty_s = max(self.last_empty_s, began_s + look_s)
            if self._clock.now_s() >= until_s:
                return False

    def emptied(self, at_s: float) -> None:
        """All that was there by then has been taken."""
        self.last_empty_s = max(self.last_empty_s, at_s)
