"""How a device behaves: said by its type, and by a scenario over it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from simulated_line.scenario.strict_table import Strict
from simulated_line.scenario.written_values import Seconds, Settings, Share, by_value
from simulated_line.servers.device_habits import GapCountsFrom, GapReaction, LossRecovery, Refusal, WriteEffect
from simulated_line.servers.register_map import Table


class TurnaroundTable(Strict):
    """End of request to first bit of the reply."""

    least_s: Seconds = 0.005
    median_s: Seconds = 0.015
    tail_share: Share = 0.0
    most_s: Seconds = 0.0


class DisobedienceTable(Strict):
    """Ways of breaking the standard."""

    answers_every_address: bool = False
    answers_as: Annotated[int, Field(ge=0, le=247)] = 0
    refuses_foreign_frames: bool = False
    answers_broadcast: bool = False
    byte_count_is_quantity: bool = False
    check_sum_is_swapped: bool = False
    reply_ends_after: Annotated[int, Field(ge=0)] = 0
    confused_s: Seconds = 0.0
    drops_reply_when_others_talk: bool = False


class SafeTable(Strict):
    """Values that a device takes when nobody asks it any more."""

    table: Annotated[Table, by_value(Table)]
    address: Annotated[int, Field(ge=0, le=65535)]
    words: Annotated[list[Annotated[int, Field(ge=0, le=65535)]], Field(min_length=1)]


class MemoryTable(Strict):
    """Where written holding registers are kept, and how often some of them may be."""

    wearing: list[int] = Field(default=[])
    volatile: list[int] = Field(default=[])
    counter_at: Annotated[int, Field(ge=-1, le=65534)] = -1
    life_writes: Annotated[int, Field(ge=0)] = 0
    written_before: Annotated[int, Field(ge=0)] = 0

    @model_validator(mode="after")
    def _is_kept_once(self) -> MemoryTable:
        both = sorted(set(self.wearing) & set(self.volatile))
        if both:
            raise ValueError(f"register {both[0]} is kept in memory that wears or is volatile, not both")
        return self


class SpeedCodeTable(Strict):
    """What a number in the speed register stands for."""

    code: Annotated[int, Field(ge=0, le=65535)]
    settings: Settings


class HabitsTable(Strict):
    """[device.habits], and the habits of a type."""

    automatic_speed: bool = False
    checks_parity: bool = True
    turnaround: TurnaroundTable = TurnaroundTable()
    boot_s: Seconds = 2.0
    minimum_gap_s: Seconds = 0.0
    gap_counts_from: Annotated[GapCountsFrom, by_value(GapCountsFrom)] = GapCountsFrom.OWN_FRAME
    gap_reaction: Annotated[GapReaction, by_value(GapReaction)] = GapReaction.IGNORES
    functions: list[Annotated[int, Field(ge=1, le=127)]] = Field(default=[0x03, 0x04, 0x06, 0x10])
    unknown_function: Annotated[Refusal, by_value(Refusal)] = Refusal.EXCEPTION
    outside_map: Annotated[Refusal, by_value(Refusal)] = Refusal.EXCEPTION
    outside_code: Annotated[int, Field(ge=1, le=255)] = 0x02
    largest_quantity: Annotated[int, Field(ge=1, le=125)] = 125
    pause_after_byte: Annotated[int, Field(ge=0)] = 0
    pause_s: Seconds = 0.0
    release_late_characters: Seconds = 0.1
    enable_late_characters: Seconds = 0.0
    write_effect: Annotated[WriteEffect, by_value(WriteEffect)] = WriteEffect.AT_ONCE
    falls_back_after_s: Seconds = 10.0
    clip_low: int = 0
    clip_high: int = 0xFFFF
    address_register: int = -1
    speed_register: int = -1
    speed_codes: list[SpeedCodeTable] = Field(default=[])
    busy_until_s: Seconds = 0.0
    busy_code: int = 0x06
    save_register: int = -1
    memory: MemoryTable = MemoryTable()
    loss_timer_s: Seconds = 0.0
    safe_values: list[SafeTable] = Field(default=[])
    loss_recovery: Annotated[LossRecovery, by_value(LossRecovery)] = LossRecovery.WHEN_ASKED
    map_shift: Annotated[int, Field(ge=-65535, le=65535)] = 0
    frozen_from_s: Seconds = float("inf")
    speaks_ascii: bool = False
    disobedience: DisobedienceTable = DisobedienceTable()
