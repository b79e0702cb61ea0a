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


CHATTERS_AFTER_S = 30.0
CHATTERS_AFTER_REQUESTS = 5
"""So long and so many requests with bytes behind each: worth saying, and no time for long waits (judgement)."""


class Reaction(Enum):
    """What to do next."""

    HOLD_STILL = "hold_still"
    """Listen for the longest turnaround, then ask the last requests again, each with a long wait."""
    ASK_AGAIN = "ask_again"
    """The line is restless by itself: only ask again what was just asked, after a pause."""
    LET_BE = "let_be"
    """The line chatters at every setting: go on, and ask nothing again."""
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


class ChatterJudge:
    """Decides whether the line itself chatters: at every setting alike, bytes follow whatever is asked."""

    def __init__(self) -> None:
        self._loud = 0
        self._since_s = self._until_s = 0.0

    @property
    def requests(self) -> int:
        """So many in a row."""
        return self._loud

    @property
    def seconds(self) -> float:
        """For so long."""
        return self._until_s - self._since_s if self._loud else 0.0

    @property
    def is_chattering(self) -> bool:
        """Whether it has gone on for long enough to be said."""
        return self._loud >= CHATTERS_AFTER_REQUESTS and self.seconds >= CHATTERS_AFTER_S

    @property
    def is_without_end(self) -> bool:
        """Whether asking on is guessing: as many in a row as one setting is given."""
        return self.is_chattering and self._loud >= LOUD_IN_A_ROW

    def was_quiet(self) -> None:
        """A request was followed by silence, or by its answer."""
        self._loud = 0

    def was_loud(self, now_s: float) -> None:
        """A request was followed by bytes that nothing explains."""
        if not self._loud:
            self._since_s = now_s
        self._loud += 1
        self._until_s = now_s
