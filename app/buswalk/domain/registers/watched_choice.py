"""Which points are to be watched, and how often, as people choose it: a plain value that pages and commands share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.watching.plan import NO_RETRIES, PointPeriod, Retries


@dataclass(frozen=True, slots=True)
class ChosenDevice:
    """Some points of one device.

    Attributes:
        profile: Name of the profile that describes it.
        points: Names in that profile, in the order chosen.
        period_s: Its points are read so often; 0 for as often as all others.
        periods: Of points that are read more often or more rarely than their device.
    """

    server_address: int
    settings: SerialSettings
    profile: str
    points: tuple[str, ...]
    period_s: float = 0.0
    periods: tuple[PointPeriod, ...] = ()

    def __post_init__(self) -> None:
        if len(set(self.points)) < len(self.points):
            raise ValueError(f"a point of {self.server_address} is chosen twice")

    def with_points(self, points: tuple[str, ...]) -> ChosenDevice:
        """Return it with other points; periods of points that are gone are gone too."""
        return replace(self, points=points, periods=tuple(one for one in self.periods if one.point in points))

    def with_period(self, period: PointPeriod) -> ChosenDevice:
        """Return it with another period of one point."""
        others = tuple(one for one in self.periods if one.point != period.point)
        return replace(self, periods=(*others, period))

    def period_of(self, point: str) -> float:
        """Return how often a point is read; 0 for as often as all others."""
        return next((one.period_s for one in self.periods if one.point == point), self.period_s)


@dataclass(frozen=True, slots=True)
class WatchedChoice:
    """All devices that are watched; each stands here once.

    Attributes:
        retries: What follows a request that was not answered.
    """

    devices: tuple[ChosenDevice, ...] = ()
    retries: Retries = NO_RETRIES

    def __post_init__(self) -> None:
        addresses = [one.server_address for one in self.devices]
        if len(set(addresses)) < len(addresses):
            raise ValueError("a device is chosen twice")

    @property
    def points(self) -> int:
        """How many points in all."""
        return sum(len(one.points) for one in self.devices)

    def device(self, server_address: int) -> ChosenDevice | None:
        """Return what is chosen of a device; None if nothing is."""
        return next((one for one in self.devices if one.server_address == server_address), None)

    def with_device(self, device: ChosenDevice) -> WatchedChoice:
        """Return the choice with this device's points in place of what was chosen of it; without it if it has none."""
        others = tuple(one for one in self.devices if one.server_address != device.server_address)
        both: Iterable[ChosenDevice] = (*others, device) if device.points else others
        return replace(self, devices=tuple(sorted(both, key=lambda one: one.server_address)))
