"""Whether another client's traffic suffers, measured against what was heard while only listening was done."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from enum import Enum

LOOKED_AT = 20
"""Its last so many requests count."""
LOST_BEFORE_STOP = 2
LATER_BEFORE_STOP = 3
MET_BEFORE_STOP = 3
"""So many among them, and asking stops (judgement, no source): one lost exchange can be the line's own."""


class Harm(Enum):
    """What is measured."""

    LOST = "lost"
    """Exchanges without a reply, of requests that were answered each time while only listening was done."""
    LATER = "later"
    """Requests that came earlier or later than ever before in their place of the round: tried again, or put off."""
    MET = "met"
    """Its bytes came within our exchanges."""
    FELL_SILENT = "fell_silent"
    """Its requests stopped."""
    NO_ROOM = "no_room"
    """It leaves no pause any more in which a request fits."""


LIMITS = {Harm.LOST: LOST_BEFORE_STOP, Harm.LATER: LATER_BEFORE_STOP, Harm.MET: MET_BEFORE_STOP}


@dataclass(frozen=True, slots=True)
class OtherClientSuffers:
    """Another client's traffic suffers, so asking has stopped.

    Attributes:
        count, of: So many of its last so many requests; 0 of 0 where it fell silent.
        listened_count, listened_of: The same while only listening was done.
    """

    harm: Harm
    count: int
    of: int
    listened_count: int
    listened_of: int


class HarmCount:
    """Counts what happens to its requests."""

    def __init__(self, listened_lost: int, listened_of: int) -> None:
        self._listened_lost = listened_lost
        self._listened_of = listened_of
        self._last: deque[Harm | None] = deque(maxlen=LOOKED_AT)
        self.asked = 0
        self.total: dict[Harm, int] = {}

    def was_well(self) -> None:
        """One of its requests came in time, and was answered as before."""
        self._count(None)

    def was(self, harm: Harm) -> None:
        """One of its requests was not."""
        self._count(harm)

    def _count(self, harm: Harm | None) -> None:
        self.asked += 1
        self._last.append(harm)
        if harm is not None:
            self.total[harm] = self.total.get(harm, 0) + 1

    @property
    def suffers(self) -> OtherClientSuffers | None:
        """What is reached of the limits; None while none is."""
        for harm, limit in LIMITS.items():
            count = sum(one is harm for one in self._last)
            if count >= limit:
                listened = self._listened_lost if harm is Harm.LOST else 0
                return OtherClientSuffers(harm, count, len(self._last), listened, self._listened_of)
        return None

    def fell_silent(self) -> OtherClientSuffers:
        """Return that its requests stopped."""
        return OtherClientSuffers(Harm.FELL_SILENT, 0, 0, 0, self._listened_of)
