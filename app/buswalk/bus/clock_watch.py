"""Notices that the computer slept, or that its clock was set: stamps that people see would jump without a word."""

from __future__ import annotations

from collections.abc import Callable

JUMP_S = 2.0
"""Less than that is how clocks are corrected in passing."""


class ClockWatch:
    """Compares the clock on the wall with one that only counts."""

    def __init__(self, wall_now_s: Callable[[], float], counted_now_s: Callable[[], float]) -> None:
        self._wall_now_s = wall_now_s
        self._counted_now_s = counted_now_s
        self._apart_s = wall_now_s() - counted_now_s()

    def look(self) -> str:
        """Return what happened since the last look in words; empty if nothing did."""
        apart_s = self._wall_now_s() - self._counted_now_s()
        jump_s = apart_s - self._apart_s
        if abs(jump_s) < JUMP_S:
            return ""
        self._apart_s = apart_s
        if jump_s > 0:
            return f"the computer slept, or its clock was set forward, by {_words(jump_s)}"
        return f"the computer's clock was set back by {_words(-jump_s)}"


def _words(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02}" if minutes else f"{rest} s"
