"""What re-addressing a device leaves in the record. Frozen; the first event is there before a byte leaves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.readdressing.plan import Reach, RegisterValue
from buswalk.domain.registers.writing.events import WriteAnswer


@dataclass(frozen=True, slots=True)
class ReaddressBegun:
    """A device is about to be set to another address or speed."""

    before: Reach
    after: Reach
    writes: tuple[RegisterValue, ...]
    reason: str
    at_s: float


@dataclass(frozen=True, slots=True)
class CompanyLooked:
    """So many other addresses were asked in the device's settings; `others` answered."""

    asked: int
    others: tuple[int, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class OldSettingsRead:
    """What the registers held before anything was written.

    Attributes:
        held: One entry for each register that could be read; one that only saves often cannot.
    """

    held: tuple[RegisterValue, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class SettingWritten:
    """One register was written, to the device where it was then.

    Attributes:
        exception_code: Of a refusal; 0 else.
    """

    to: Reach
    written: RegisterValue
    exchange: int
    answer: WriteAnswer
    exception_code: int
    at_s: float


class LookedAfter(Enum):
    """Behind what all places were looked at."""

    WRITING = "writing"
    RESTART = "restart"
    AGAIN = "again"
    """Some time later, because the user asked for it."""


@dataclass(frozen=True, slots=True)
class PlacesLooked:
    """All places were asked; in `answered` somebody did."""

    after: LookedAfter
    asked: tuple[Reach, ...]
    answered: tuple[Reach, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class RestartWanted:
    """The device does not answer where it should: its supply is to be cycled now. It is looked for meanwhile."""

    sentence: str
    within_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class RestartSeen:
    """It was silent for a while and answers again: it has restarted."""

    silent_s: float
    at_s: float


class ReaddressEnd(Enum):
    """Where the device is."""

    MOVED_AT_ONCE = "moved_at_once"
    MOVED_AFTER_RESTART = "moved_after_restart"
    MOVED = "moved"
    """Seen at a later look: whether at once or by a restart is not known."""
    NOT_MOVED = "not_moved"
    PARTLY_MOVED = "partly_moved"
    """Address and speed went different ways."""
    IN_SEVERAL_PLACES = "in_several_places"
    LOST = "lost"
    GIVEN_UP = "given_up"
    """Nothing was written."""


@dataclass(frozen=True, slots=True)
class ReaddressEnded:
    """It is over; `where` are the places that answer now, and the sentence says what to do."""

    end: ReaddressEnd
    where: tuple[Reach, ...]
    sentence: str
    at_s: float


ReaddressEvent: TypeAlias = (
    ReaddressBegun
    | CompanyLooked
    | OldSettingsRead
    | SettingWritten
    | PlacesLooked
    | RestartWanted
    | RestartSeen
    | ReaddressEnded
)
