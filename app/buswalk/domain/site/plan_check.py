"""Does a plan hold together: addresses once only, settings told, one speed on one pair."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.planned_device import PlannedDevice


@dataclass(frozen=True, slots=True)
class DoubledAddress:
    """One address at several places."""

    server_address: int
    places: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PlanCheck:
    """What there is to say of a plan as a whole.

    Attributes:
        checked: How many devices.
        doubled: By address.
        without_setting: Places of devices for which the plan names no speed and framing.
        settings: All that are named, in order of the cable.
    """

    checked: int
    doubled: tuple[DoubledAddress, ...]
    without_setting: tuple[int, ...]
    settings: tuple[SerialSettings, ...]


def check_plan(devices: Sequence[PlannedDevice]) -> PlanCheck:
    """Look at a plan as a whole."""
    places: dict[int, list[int]] = {}
    for device in devices:
        places.setdefault(device.server_address, []).append(device.place)
    doubled = tuple(
        DoubledAddress(address, tuple(found)) for address, found in sorted(places.items()) if len(found) > 1
    )
    named = dict.fromkeys(device.settings for device in devices if device.settings is not None)
    return PlanCheck(
        checked=len(devices),
        doubled=doubled,
        without_setting=tuple(device.place for device in devices if device.settings is None),
        settings=tuple(named),
    )
