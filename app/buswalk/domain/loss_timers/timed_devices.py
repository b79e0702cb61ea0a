"""Which devices of a line are known to have a loss timer, how it is set as far as is known, and of which nothing is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from math import inf
from typing import TypeAlias

from buswalk.domain.registers.loss_timer import IsOff, LossTimer, NotTold, RunsFor, TimerSetting


class ToldBy(Enum):
    """Where a setting is known from."""

    PROFILE = "profile"
    """As delivered; it may have been set otherwise since."""
    DEVICE = "device"
    """Its point was read."""


@dataclass(frozen=True, slots=True)
class TimedDevice:
    """A device of a type that has a loss timer.

    Attributes:
        name: What people call it.
        setting: As it is to be taken now: as read, else as delivered.
        point_words: What people call the point that holds the setting; empty where no point does.
    """

    server_address: int
    name: str
    timer: LossTimer
    setting: TimerSetting
    told_by: ToldBy
    point_words: str = ""

    @property
    def seconds(self) -> float:
        """After how long it reacts; infinite where that is not known, or the timer is off."""
        return self.setting.seconds if isinstance(self.setting, RunsFor) else inf

    @property
    def is_surely_off(self) -> bool:
        """Whether the device itself said that its timer does not run."""
        return isinstance(self.setting, IsOff) and self.told_by is ToldBy.DEVICE


@dataclass(frozen=True, slots=True)
class KnownTimers:
    """All that is known of a line.

    Attributes:
        timed: The shortest first, then those whose time is not known; without those that are surely off.
        not_known: Addresses of devices of which nothing is known: each may have a timer.
    """

    timed: tuple[TimedDevice, ...] = ()
    not_known: tuple[int, ...] = ()

    @property
    def running(self) -> tuple[TimedDevice, ...]:
        """Those whose time is known, the shortest first."""
        return tuple(one for one in self.timed if isinstance(one.setting, RunsFor))

    def of(self, addresses: Iterable[int]) -> KnownTimers:
        """Return what is known of these alone."""
        wanted = frozenset(addresses)
        return KnownTimers(
            tuple(one for one in self.timed if one.server_address in wanted),
            tuple(one for one in self.not_known if one in wanted),
        )


NO_TIMERS = KnownTimers()
Told: TypeAlias = dict[tuple[int, str], TimerSetting]
"""What points were read as, by address and point."""


def in_order(devices: Iterable[TimedDevice]) -> tuple[TimedDevice, ...]:
    """Return devices as they are told: who reacts first, first; off as delivered last; surely off not at all."""
    there = [one for one in devices if not one.is_surely_off]
    return tuple(sorted(there, key=lambda one: (one.seconds, not isinstance(one.setting, NotTold), one.server_address)))
