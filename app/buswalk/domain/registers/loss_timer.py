"""The communication-loss timer of a device type: what it does when nobody asks it. Only its documents tell.

How long a device was asked by nobody is a matter of the line: see domain/loss_timers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeAlias

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.value import NumberValue

SECONDS_OF_UNIT = {"ms": Decimal("0.001"), "s": Decimal(1), "min": Decimal(60), "h": Decimal(3600)}
"""The units in which a point can hold a time."""
LONGEST_S = 86_400.0


@dataclass(frozen=True, slots=True)
class RunsFor:
    """The device reacts after so long without a request."""

    seconds: float

    def __post_init__(self) -> None:
        if not 0.0 < self.seconds <= LONGEST_S:
            raise ValueError(f"a loss timer runs for more than 0 s and at most {LONGEST_S:.0f} s")


@dataclass(frozen=True, slots=True)
class IsOff:
    """The timer is there, and set to 0: it does not run."""


@dataclass(frozen=True, slots=True)
class NotTold:
    """How it is set is not known."""


TimerSetting: TypeAlias = RunsFor | IsOff | NotTold


@dataclass(frozen=True, slots=True)
class LossTimer:
    """What a device type does when nobody asks it for long enough.

    Attributes:
        reaction: What it does then, as a verb: 'stops', 'puts its outputs to 0 V'.
        delivered: As it is set when it leaves its maker.
        point: Name of the point that holds it; empty where no point does.

    Raises:
        ValueError: No reaction is said, or nothing tells the time.
    """

    reaction: str
    delivered: TimerSetting = NotTold()
    point: str = ""

    def __post_init__(self) -> None:
        if not self.reaction.strip():
            raise ValueError("a loss timer needs a reaction: what the device does when nobody asks it")
        if isinstance(self.delivered, NotTold) and not self.point:
            raise ValueError(
                "a loss timer needs 'seconds' as delivered (0: off), or the 'point' that holds it, or both"
            )


@dataclass(frozen=True, slots=True)
class NoTimerDescribed:
    """The description says nothing of a loss timer; the device may have one."""


NOT_DESCRIBED = NoTimerDescribed()


def delivered_setting(seconds: float) -> TimerSetting:
    """Return what so many seconds mean: 0 is off, as in most devices (common practice, no source).

    Raises:
        ValueError: They are less than 0, or more than a day.
    """
    return RunsFor(seconds) if seconds else IsOff()


def require_timer_point(point: Point) -> None:
    """Raise ValueError for a point that cannot tell a time, or must not be read to learn it."""
    if point.unit not in SECONDS_OF_UNIT:
        units = ", ".join(SECONDS_OF_UNIT)
        unit = f"its unit is '{point.unit}'" if point.unit else "it has no unit"
        raise ValueError(f"{point.name} cannot hold a loss timer: {unit}, and a time is in one of {units}")
    if point.named:
        raise ValueError(f"{point.name} cannot hold a loss timer: its values have names, and a time is a number")
    if not point.can_be_read or point.clears_on_read:
        raise ValueError(f"{point.name} cannot tell a loss timer: it cannot be read, or clears when it is")


def setting_read(point: Point, words: Sequence[int]) -> TimerSetting:
    """Return the setting that a point's words say; 0 is off. Words that are no time tell nothing."""
    value = value_of(point, words)
    if not isinstance(value, NumberValue) or point.unit not in SECONDS_OF_UNIT:
        return NotTold()
    seconds = float(value.value * SECONDS_OF_UNIT[point.unit])
    return delivered_setting(seconds) if 0.0 <= seconds <= LONGEST_S else NotTold()
