"""The forecast of a cycle as the record keeps it, with all that it was worked out of."""

from __future__ import annotations

from buswalk.domain.registers.cycle_forecast import (
    CycleForecast,
    CyclePart,
    CycleRules,
    DeviceCycle,
    MeasuredCycle,
    PartOfCycle,
    ReadsAtSpeed,
    ReadSize,
)
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.what_would_help import Help
from buswalk.domain.watching.events import CycleForecasted
from tests.fakes.every_write import SETTINGS

MEASURED_CYCLE = MeasuredCycle(
    (
        DeviceCycle(
            37,
            SETTINGS,
            (ReadSize(33, 1.0), ReadSize(15)),
            ReadCosts(0.001145833, 0.056, 0.0001),
            0.02,
            unanswered_share=0.125,
            unanswered_s=1.5,
            absent_s=1.0,
            wait_s=0.5,
            longest_turnaround_s=0.03,
            reads_at=(ReadsAtSpeed(19_200, (ReadSize(50, 1.0),)),),
        ),
    ),
    CycleRules(15.0, 0.5, 0.01),
)
FORECASTED = CycleForecasted(
    CycleForecast(1.25, 12, (PartOfCycle(CyclePart.TURNAROUND, 0.75), PartOfCycle(CyclePart.CHARACTERS, 0.5)), 0.0),
    (Help("an adapter that hands over after 1 ms", 0.25),),
    2.1771,
    MEASURED_CYCLE,
)
