"""What a scenario file says of the pair."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated

from pydantic import Field, model_validator

from simulated_line.pair.line_habits import HeldLevel, OverlapRule
from simulated_line.scenario.strict_table import Strict
from simulated_line.scenario.written_values import Seconds, Share, by_value


class WindowTable(Strict):
    """From one moment to another; without an end, for good."""

    from_s: Seconds = 0.0
    until_s: Seconds = float("inf")

    @model_validator(mode="after")
    def _ends_after_it_begins(self) -> WindowTable:
        if self.until_s < self.from_s:
            raise ValueError("a window ends after it begins")
        return self


class GlitchTable(Strict):
    """Low pulses of a floating pair when drivers take or leave it."""

    before: Share = 0.0
    after: Share = 0.0
    low_bits: list[float] = Field(default=[1.0, 9.0], min_length=2, max_length=2)
    lead_characters: list[float] = Field(default=[0.2, 3.0], min_length=2, max_length=2)
    devices: list[str] = Field(default=[])


class BurstTable(Strict):
    """Bursts of noise."""

    per_second: Annotated[float, Field(gt=0)] = 1.0
    shortest_s: Seconds = 0.001
    longest_s: Seconds = 0.02
    with_plant: bool = True
    period_s: Seconds = 0.0


class HeldTable(Strict):
    """The pair held at a level."""

    level: Annotated[HeldLevel, by_value(HeldLevel)]
    windows: list[WindowTable] = Field(default=[WindowTable()])


class OpenTable(Strict):
    """Both cores open behind a place, for good or now and then."""

    after_place: Annotated[int, Field(ge=0)]
    windows: list[WindowTable] = Field(default=[WindowTable()])
    on_s: Seconds = 0.0
    off_s: Seconds = 0.0

    @model_validator(mode="after")
    def _is_in_order(self) -> OpenTable:
        if any(latter.from_s < former.until_s for former, latter in pairwise(self.windows)):
            raise ValueError("windows come one after the other, in order of time")
        return self


class WeakTable(Strict):
    """One bad core behind a place."""

    after_place: Annotated[int, Field(ge=0)]
    bit_error_rate: Share


class LineTable(Strict):
    """[line]: what is wrong with the pair."""

    bit_error_rate: Share = 0.0
    growth_per_100_m: Annotated[float, Field(ge=0)] = 0.0
    edge_error_rate: Share = 0.0
    biased: bool = True
    overlap: Annotated[OverlapRule, by_value(OverlapRule)] = OverlapRule.ZERO_WINS
    noise_on_battery: Share = 1.0
    glitches: GlitchTable = GlitchTable()
    bursts: BurstTable | None = None
    held: HeldTable | None = None
    open_place: OpenTable | None = None
    weak_place: WeakTable | None = None
