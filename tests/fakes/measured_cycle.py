"""The cycle of two devices as a watch measured it, and 23, which is dead: made of figures that are worked by hand."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.cycle_forecast import (
    CycleRules,
    DeviceCycle,
    MeasuredCycle,
    ReadSize,
    cycle_forecast,
)
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.what_would_help import what_would_help
from buswalk.domain.watching.events import CycleForecasted

E1 = SerialSettings.of(9600, "8E1")
CHARACTER_S = 11 / 9600
SILENCE_S = 3.5 * CHARACTER_S
READS = (ReadSize(33, 1.0), ReadSize(15, 1.0))
"""48 characters are 55 ms; each request has 20 ms of turnaround, 4.01 ms of t3.5 and 32 ms of adapter beside."""


def device_cycle(server_address: int, longest_s: float, *, is_absent: bool = False) -> DeviceCycle:
    """Return a device that takes 167 ms of a cycle, or nothing but 0.9 s each 15 s."""
    return DeviceCycle(
        server_address,
        E1,
        READS,
        ReadCosts(CHARACTER_S, 0.020 + SILENCE_S + 0.032),
        0.020,
        is_absent=is_absent,
        absent_s=0.9,
        wait_s=0.4,
        longest_turnaround_s=longest_s,
    )


CYCLE = MeasuredCycle(
    (device_cycle(21, 0.03), device_cycle(22, 0.25), device_cycle(23, 0.0, is_absent=True)), CycleRules(15.0)
)
FORECASTED = CycleForecasted(
    cycle_forecast(CYCLE.devices, CYCLE.rules), what_would_help(CYCLE.devices, CYCLE.rules), 30.0, CYCLE
)
