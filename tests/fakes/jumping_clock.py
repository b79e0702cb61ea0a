"""A clock that jumps when somebody waits."""

from __future__ import annotations


class JumpingClock:
    """Line time that stands until it is told to go on."""

    def __init__(self) -> None:
        self._now_s = 0.0

    def now_s(self) -> float:
        """Present time."""
        return self._now_s

    def sleep_until(self, time_s: float) -> None:
        """Jump, never back."""
        self._now_s = max(self._now_s, time_s)
