"""What a scenario file says of the adapter."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from buswalk.domain.line.line_traits import MarkReporting
from simulated_line.scenario.strict_table import Strict
from simulated_line.scenario.written_values import Seconds, Share, by_value


class AdapterTable(Strict):
    """[adapter]: what the adapter does and cannot do."""

    start_delay_s: Seconds = 0.0
    hears_itself: bool = False
    damaged_echo_rate: Share = 0.0
    sends_second_stop_bit: bool = True
    latency_step_s: Seconds = 0.001
    lump_bytes: Annotated[int, Field(ge=0)] = 0
    release_late_characters: Seconds = 0.1
    release_early_characters: Seconds = 0.0
    marks: Annotated[MarkReporting, by_value(MarkReporting)] = MarkReporting.PER_BYTE
    supplies_bias: bool = False
    is_swapped: bool = False
    unplugged_from_s: Seconds = float("inf")
    back_after_s: Seconds = float("inf")
    back_as: str = ""
    busy_until_s: Seconds = 0.0
    reader_stall_s: Seconds = 0.0
