"""What a device would be asked at another speed: where characters cost less, holes are cheaper than requests."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.registers.cycle_forecast import DeviceCycle, ReadsAtSpeed
from buswalk.domain.registers.what_if import USUAL_SPEEDS, costs_at
from buswalk.domain.watching.asks import device_asks
from buswalk.domain.watching.cycle_tally import read_size
from buswalk.domain.watching.plan import WatchedDevice


def with_plans_anew(cycle: DeviceCycle, device: WatchedDevice, plan_period_s: float) -> DeviceCycle:
    """Return the cycle of a device with the requests that it would be asked at each usual speed, where they differ."""
    made = (
        ReadsAtSpeed(speed, tuple(map(read_size, device_asks(device, plan_period_s, costs_at(cycle, speed)).asks)))
        for speed in USUAL_SPEEDS
        if speed != device.settings.baud_rate
    )
    return replace(cycle, reads_at=tuple(one for one in made if one.reads != cycle.reads))
