"""Which points are to be watched, as people choose them: a plain value that pages and commands share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings


@dataclass(frozen=True, slots=True)
class ChosenDevice:
    """Some points of one device.

    Attributes:
        profile: Name of the profile that describes it.
        points: Names in that profile, in the order chosen.
    """

    server_address: int
    settings: SerialSettings
    profile: str
    points: tuple[str, ...]

    def __post_init__(self) -> None:
        if len(set(self.points)) < len(self.points):
            raise ValueError(f"a point of {self.server_address} is chosen twice")


@dataclass(frozen=True, slots=True)
class WatchedChoice:
    """All devices that are watched; each stands here once."""

    devices: tuple[ChosenDevice, ...] = ()

    def __post_init__(self) -> None:
        addresses = [one.server_address for one in self.devices]
        if len(set(addresses)) < len(addresses):
            raise ValueError("a device is chosen twice")

    @property
    def points(self) -> int:
        """How many points in all."""
        return sum(len(one.points) for one in self.devices)

    def with_device(self, device: ChosenDevice) -> WatchedChoice:
        """Return the choice with this device's points in place of what was chosen of it; without it if it has none."""
        others = tuple(one for one in self.devices if one.server_address != device.server_address)
        both: Iterable[ChosenDevice] = (*others, device) if device.points else others
        return WatchedChoice(tuple(sorted(both, key=lambda one: one.server_address)))
