"""What a search does about energy: bytes or marks that no request explains. Pure counting, no waiting."""

from __future__ import annotations

from collections import deque
from enum import Enum

FRUITLESS_HOLDS = 6
"""So many holds without a find: the line has noise of its own, and holding still each time finds nothing."""
LOUD_IN_A_ROW = 20
"""So many requests in a row, each followed by bytes that are no reply: asking on is guessing."""
LOOKED_AT = 40
LOUD_AMONG_THEM = 30
"""The same where a silence slips in now and then."""


class Reaction(Enum):
    """What to do next."""

    HOLD_STILL = "hold_still"
    """Listen for the longest turnaround, then ask the last requests again, each with a long wait."""
    ASK_AGAIN = "ask_again"
    """The line is restless by itself: only ask again what was just asked, after a pause."""
    GIVE_UP = "give_up"


class EnergyJudge:
    """Decides by what has come so far."""

    def __init__(self, *, is_living: bool) -> None:
        self._is_living = is_living
        self._fruitless = 0
        self._loud_in_a_row = 0
        self._last: deque[bool] = deque(maxlen=LOOKED_AT)

    @property
    def is_restless(self) -> bool:
        """Whether the line has bytes of its own: another client, or noise."""
        return self._is_living or self._fruitless >= FRUITLESS_HOLDS

    def was_quiet(self) -> None:
        """A request was followed by silence, or by its answer."""
        self._loud_in_a_row = 0
        self._last.append(False)

    def was_loud(self) -> Reaction:
        """A request was followed by bytes that nothing explains."""
        self._loud_in_a_row += 1
        self._last.append(True)
        if self._loud_in_a_row >= LOUD_IN_A_ROW or sum(self._last) >= LOUD_AMONG_THEM:
            return Reaction.GIVE_UP
        if self.is_restless:
            return Reaction.ASK_AGAIN
        self._fruitless += 1
        return Reaction.HOLD_STILL

    def found_something(self) -> None:
        """The last hold was worth it."""
        self._fruitless = 0
        self._loud_in_a_row = 0
        self._last.clear()
