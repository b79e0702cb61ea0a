"""Which points are read, what that costs, and the watch that it becomes. Plain Python."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.read_costs import expected_costs
from buswalk.domain.registers.read_plan import NamedPoints, read_plan
from buswalk.domain.watching.plan import PointsRead, WatchedDevice, WatchEnd, WatchPlan, watched
from buswalk.domain.watching.waits import Waits, wait_for_s
from buswalk.ui.pages.registers.known_devices import KnownDevice

LISTEN_S = 10.0
PERIODS_S = (0.0, 1.0, 2.0, 5.0, 10.0, 60.0)
"""The first reads once."""


def readable_names(profile: RegisterProfile) -> tuple[str, ...]:
    """Return the points that are read when all are: none that reading would clear."""
    return tuple(one.name for one in profile.points if one.can_be_read and not one.clears_on_read)


@dataclass(frozen=True, slots=True)
class ReadCost:
    """What one read of all points costs."""

    requests: int
    seconds: float


def read_cost(device: KnownDevice, profile: RegisterProfile, traits: LineTraits) -> ReadCost:
    """Return it as expected before anything was measured."""
    costs = expected_costs(device.settings, traits, profile.rules.minimum_gap_s)
    plan = read_plan(profile, NamedPoints(readable_names(profile)), costs)
    return ReadCost(len(plan.blocks), plan.seconds)


class KnownCost:
    """The cost of one read, planned anew only where device, list or port are others."""

    def __init__(self) -> None:
        self._asked: object = None
        self._cost = ReadCost(0, 0.0)

    def of(self, device: KnownDevice, profile: RegisterProfile, traits: LineTraits) -> ReadCost:
        """Return what one read costs."""
        asked = (device.server_address, device.settings, profile, traits)
        if asked != self._asked:
            self._asked, self._cost = asked, read_cost(device, profile, traits)
        return self._cost


def watched_device(
    device: KnownDevice, profile: RegisterProfile, names: tuple[str, ...], longest_turnaround_s: float = 0.0
) -> WatchedDevice:
    """Return a device with its points, asked as it was found and waited for by the longest turnaround seen of it."""
    base = (
        watched(device.found, longest_turnaround_s)
        if device.found is not None
        else WatchedDevice(
            device.server_address,
            device.settings,
            ReadHoldingRegisters(0, 1),
            wait_for_s(longest_turnaround_s),
            waits=Waits.BY_TURNAROUND,
        )
    )
    gap_s = max(base.minimum_gap_s, profile.rules.minimum_gap_s)
    return replace(base, minimum_gap_s=gap_s, reading=PointsRead(profile, names))


def watch_plan(devices: Iterable[WatchedDevice], period_s: float, *, is_known_silent: bool) -> WatchPlan:
    """Return the watch; a period of 0 is one round. What was listened to already is not listened to again."""
    listen_s = 0.0 if is_known_silent else LISTEN_S
    end = WatchEnd.WHEN_STOPPED if period_s else WatchEnd.AFTER_ONE_ROUND
    return WatchPlan(tuple(devices), period_s=period_s, listen_s=listen_s, end=end)
