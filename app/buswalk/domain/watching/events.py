"""What a watch says beside its exchanges, which are told and recorded as all others. Frozen events; few of them.

An event for each exchange would double the record of a week and tell nothing new: only where points are read there is
one, with their samples.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.registers.cycle_forecast import CycleForecast, CycleRules, MeasuredCycle
from buswalk.domain.registers.read_plan import WhyLeftOut
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.registers.what_would_help import Help
from buswalk.domain.search.events import LivingLine
from buswalk.domain.watching.plan import ABSENT_EVERY_S

NOTHING_MEASURED = MeasuredCycle((), CycleRules(ABSENT_EVERY_S))


@dataclass(frozen=True, slots=True)
class DeviceAbsent:
    """A device was silent so many times in a row that it is asked rarely from now on.

    Attributes:
        since_s: When the first of the unanswered requests was sent, line time.
    """

    server_address: int
    settings: SerialSettings
    silent: int
    since_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class DeviceBack:
    """An absent device answered, or sent anything at all: it is asked as often as before at once."""

    server_address: int
    settings: SerialSettings
    after_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class WatchProgress:
    """How it goes, now and then.

    Attributes:
        asked, not_clean: Exchanges of this watch so far.
        absent: Addresses of the devices that are asked rarely now.
    """

    asked: int
    not_clean: int
    absent: tuple[int, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class PointNotRead:
    """A point that was to be watched is not read at all."""

    server_address: int
    settings: SerialSettings
    point: str
    why: WhyLeftOut
    at_s: float


@dataclass(frozen=True, slots=True)
class PointRefused:
    """The device refuses to tell this point, asked for it alone: its map is another one than the list says, or has
    become so. It is asked rarely from now on; its neighbours are read on without it.

    Attributes:
        exception_code: What it answered (Application V1.1b3, 7).
        told_before: It was told earlier in this watch: the map has changed.
    """

    server_address: int
    settings: SerialSettings
    point: str
    exception_code: int
    told_before: bool
    at_s: float


@dataclass(frozen=True, slots=True)
class PointTold:
    """A refused point is told again: it is read as often as before."""

    server_address: int
    settings: SerialSettings
    point: str
    at_s: float


@dataclass(frozen=True, slots=True)
class CycleForecasted:
    """How long one cycle takes by what was measured, and what would make it shorter, the most first.

    Told when each device has been measured often enough, and again, at most once a minute, when the cycle has become
    another one; only where points are read.

    Attributes:
        cycle: What it was made from; without devices in records of older versions.
    """

    forecast: CycleForecast
    helps: tuple[Help, ...]
    at_s: float
    cycle: MeasuredCycle = NOTHING_MEASURED


WatchEvent: TypeAlias = (
    ListeningEnded
    | LivingLine
    | DeviceAbsent
    | DeviceBack
    | WatchProgress
    | CycleForecasted
    | PointNotRead
    | PointRefused
    | PointTold
    | PointsWatched
    | SamplesTaken
)
