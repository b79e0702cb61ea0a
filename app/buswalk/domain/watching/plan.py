"""What a watch asks: each device one harmless read that it is known to answer, or points of its profile."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.request import Effect, Request
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.search.events import Doubt, Found
from buswalk.domain.watching.waits import FIRST_WAIT_S, Waits, wait_for_s

LEAST_SHARE = 0.01
LONGEST_PERIOD_S = 86_400.0
ABSENT_EVERY_S = 15.0
"""Building controllers ask an offline device again every 2 to 30 s, 15 s mostly (common practice, no source)."""
PAUSE_WHERE_NEEDED_S = 0.6
"""The pause at which a search saw those devices answer that need one."""
INPUT_REGISTERS = 0x04
MOST_RETRIES = 5
Place: TypeAlias = tuple[int, SerialSettings]
"""An address at its settings."""


@dataclass(frozen=True, slots=True)
class PointPeriod:
    """This point is read so often; 0 for as often as it goes."""

    point: str
    period_s: float

    def __post_init__(self) -> None:
        _require_period(self.period_s)


@dataclass(frozen=True, slots=True)
class PointsRead:
    """Points that are read, named one by one: even one that reading clears is then read again and again.

    Attributes:
        names: In the profile, at least one, each once.
        periods: Of points that have one of their own; the others have that of their device.

    Raises:
        ValueError: No point, one twice, or a name that the profile does not have.
    """

    profile: RegisterProfile
    names: tuple[str, ...]
    periods: tuple[PointPeriod, ...] = ()

    def __post_init__(self) -> None:
        if not self.names or len(set(self.names)) < len(self.names):
            raise ValueError("points to read are at least one, and each once")
        known = {one.name for one in self.profile.points}
        for name in (*self.names, *(one.point for one in self.periods)):
            if name not in known:
                raise ValueError(f"profile {self.profile.name} has no point {name}")


@dataclass(frozen=True, slots=True)
class OnlyHarmlessRead:
    """No points: the device is asked whether it answers, and nothing else."""


Reading: TypeAlias = PointsRead | OnlyHarmlessRead
ONLY_HARMLESS_READ = OnlyHarmlessRead()


@dataclass(frozen=True, slots=True)
class WatchedDevice:
    """One device, and what it is asked.

    Attributes:
        request: A read; a refusal of it is an answer too. Where points are read it is asked only while the device is
            absent.
        wait_s: From the end of the request to the first byte of the reply; with a wait by turnaround, at least so long.
        minimum_gap_s: Least silence before the request, beside t3.5.
        period_s: It is not asked more often than this; 0 for the period of the plan.

    Raises:
        ValueError: No server's address, or a request that does more than read.
    """

    server_address: int
    settings: SerialSettings
    request: Request
    wait_s: float = FIRST_WAIT_S
    minimum_gap_s: float = 0.0
    reading: Reading = ONLY_HARMLESS_READ
    period_s: float = 0.0
    waits: Waits = Waits.AS_TOLD

    def __post_init__(self) -> None:
        if self.server_address not in SERVER_ADDRESSES:
            raise ValueError(f"address {self.server_address} is no server's: servers have 1 to 247")
        if self.request.effect is not Effect.READS:
            raise ValueError("a watch only reads: what writes or disturbs is never asked again and again")
        if self.wait_s <= 0.0 or self.minimum_gap_s < 0.0:
            raise ValueError("a wait is above zero, and a gap not below it")
        _require_period(self.period_s)

    @property
    def place(self) -> Place:
        """By what it is told from all others."""
        return self.server_address, self.settings


def _require_period(period_s: float) -> None:
    if not 0.0 <= period_s <= LONGEST_PERIOD_S:
        raise ValueError(f"a period lies between none and a day, not at {period_s:g} s")


def watched(found: Found, longest_turnaround_s: float = 0.0) -> WatchedDevice:
    """Return a device that a search found, to be asked what it answered there: one register at 0.

    It is waited for by its turnaround, of which this is the longest seen so far; 0 where none was.
    """
    read = ReadInputRegisters if found.function == INPUT_REGISTERS else ReadHoldingRegisters
    gap_s = PAUSE_WHERE_NEEDED_S if Doubt.NEEDS_A_PAUSE in found.doubts else 0.0
    wait_s = wait_for_s(longest_turnaround_s)
    return WatchedDevice(found.server_address, found.settings, read(0, 1), wait_s, gap_s, waits=Waits.BY_TURNAROUND)


@dataclass(frozen=True, slots=True)
class Retries:
    """What follows a request that was not answered: the same once more, each time an exchange of its own.

    Attributes:
        most: So many times; 0 for never.
        pause_s: Silence before each. Where it is shorter than a late reply may take, what comes may be the old answer:
            such values are marked doubtful.
    """

    most: int = 0
    pause_s: float = 0.5

    def __post_init__(self) -> None:
        if not 0 <= self.most <= MOST_RETRIES or self.pause_s < 0.0:
            raise ValueError(f"retries are 0 to {MOST_RETRIES}, after a pause that is not below zero")


NO_RETRIES = Retries()


class WatchEnd(Enum):
    """When a watch is over."""

    WHEN_STOPPED = "when stopped"
    AFTER_ONE_ROUND = "after one round"
    """Each point was told, refused or not answered once; or its device was taken for absent."""


@dataclass(frozen=True, slots=True)
class WatchPlan:
    """Whom to watch, and how much of the line that may take.

    Attributes:
        period_s: No device is asked more often than this; 0 for as often as the share allows.
        share: Of the line's time that exchanges may take, waits included; the rest stays silent.
        absent_every_s: How often a device that does not answer is asked.
        listen_s: Before the first request: another client must be known before it is disturbed.
        may_ask_living_line: The user has said that another client may be disturbed.
        end: Devices that are not read points of need no round to end.

    Raises:
        ValueError: Nobody to watch, one device twice, or a share or period that cannot be.
    """

    devices: tuple[WatchedDevice, ...]
    period_s: float = 0.0
    share: float = 1.0
    absent_every_s: float = ABSENT_EVERY_S
    listen_s: float = 10.0
    may_ask_living_line: bool = False
    retries: Retries = NO_RETRIES
    end: WatchEnd = WatchEnd.WHEN_STOPPED

    def __post_init__(self) -> None:
        if not self.devices:
            raise ValueError("a watch needs at least one device")
        if len({(one.server_address, one.settings) for one in self.devices}) < len(self.devices):
            raise ValueError("a device is watched once at each of its settings")
        if not LEAST_SHARE <= self.share <= 1.0:
            raise ValueError(f"a share of the line lies between {LEAST_SHARE:g} and 1, not at {self.share:g}")
        if not 0.0 <= self.period_s <= LONGEST_PERIOD_S or self.absent_every_s <= 0.0 or self.listen_s < 0.0:
            raise ValueError("a period lies between none and a day, and no time is below zero")
