"""The format of a scenario file, strict: an unknown key or a wrong kind of value is an error."""

from __future__ import annotations

from difflib import get_close_matches
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from buswalk.domain.line.line_traits import MarkReporting
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.pair.line_habits import HeldLevel, OverlapRule
from simulated_line.processes.table import PROCESSES
from simulated_line.servers.device_habits import GapCountsFrom, GapReaction, LossRecovery, Refusal, WriteEffect
from simulated_line.servers.register_map import Table
from simulated_line.servers.second_port import WhenLost


def _settings(value: object) -> SerialSettings:
    if isinstance(value, SerialSettings):
        return value
    if not isinstance(value, str) or len(value.split()) != 2 or not value.split()[0].isdigit():
        raise ValueError("write speed and framing, such as '9600 8N1'")
    speed, framing = value.split()
    return SerialSettings.of(int(speed), framing)


def _hex(value: object) -> object:
    if isinstance(value, str):
        try:
            is_right = bool(bytes.fromhex(value))
        except ValueError:
            is_right = False
        if not is_right:
            raise ValueError("write bytes in hex, such as '25 03 00 00'")
    return value


def _process(value: object) -> object:
    if isinstance(value, str) and value and value not in PROCESSES:
        near = get_close_matches(value, PROCESSES, 1)
        raise ValueError(f"did you mean '{near[0]}'?" if near else f"choose one of {', '.join(sorted(PROCESSES))}")
    return value


Hex = Annotated[str, BeforeValidator(_hex)]
Settings = Annotated[SerialSettings, BeforeValidator(_settings)]
Share = Annotated[float, Field(ge=0, le=1)]
Seconds = Annotated[float, Field(ge=0)]
Address = Annotated[int, Field(ge=1, le=247)]


def _by_value(kind: type) -> BeforeValidator:
    def check(value: object) -> object:
        try:
            return kind(value)
        except ValueError:
            choices = ", ".join(repr(one.value) for one in kind)  # type: ignore[attr-defined]
            raise ValueError(f"choose one of {choices}") from None

    return BeforeValidator(check)


class Strict(BaseModel):
    """All tables of the file: no unknown keys, no silent conversion of kinds."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, arbitrary_types_allowed=True)


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
    devices: list[str] = []


class BurstTable(Strict):
    """Bursts of noise."""

    per_second: Annotated[float, Field(gt=0)] = 1.0
    shortest_s: Seconds = 0.001
    longest_s: Seconds = 0.02
    with_plant: bool = True
    period_s: Seconds = 0.0


class HeldTable(Strict):
    """The pair held at a level."""

    level: Annotated[HeldLevel, _by_value(HeldLevel)]
    windows: list[WindowTable] = [WindowTable()]


class OpenTable(Strict):
    """Both cores open behind a place, for good or now and then."""

    after_place: Annotated[int, Field(ge=0)]
    windows: list[WindowTable] = [WindowTable()]
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
    overlap: Annotated[OverlapRule, _by_value(OverlapRule)] = OverlapRule.ZERO_WINS
    noise_on_battery: Share = 1.0
    glitches: GlitchTable = GlitchTable()
    bursts: BurstTable | None = None
    held: HeldTable | None = None
    open_place: OpenTable | None = None
    weak_place: WeakTable | None = None


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
    marks: Annotated[MarkReporting, _by_value(MarkReporting)] = MarkReporting.PER_BYTE
    supplies_bias: bool = False
    is_swapped: bool = False
    unplugged_from_s: Seconds = float("inf")
    back_after_s: Seconds = float("inf")
    back_as: str = ""
    busy_until_s: Seconds = 0.0
    reader_stall_s: Seconds = 0.0


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

    table: Annotated[Table, _by_value(Table)]
    address: Annotated[int, Field(ge=0, le=65535)]
    words: Annotated[list[Annotated[int, Field(ge=0, le=65535)]], Field(min_length=1)]


class MemoryTable(Strict):
    """Where written holding registers are kept, and how often some of them may be."""

    wearing: list[int] = []
    volatile: list[int] = []
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
    gap_counts_from: Annotated[GapCountsFrom, _by_value(GapCountsFrom)] = GapCountsFrom.OWN_FRAME
    gap_reaction: Annotated[GapReaction, _by_value(GapReaction)] = GapReaction.IGNORES
    functions: list[Annotated[int, Field(ge=1, le=127)]] = [0x03, 0x04, 0x06, 0x10]
    unknown_function: Annotated[Refusal, _by_value(Refusal)] = Refusal.EXCEPTION
    outside_map: Annotated[Refusal, _by_value(Refusal)] = Refusal.EXCEPTION
    outside_code: Annotated[int, Field(ge=1, le=255)] = 0x02
    largest_quantity: Annotated[int, Field(ge=1, le=125)] = 125
    pause_after_byte: Annotated[int, Field(ge=0)] = 0
    pause_s: Seconds = 0.0
    release_late_characters: Seconds = 0.1
    enable_late_characters: Seconds = 0.0
    write_effect: Annotated[WriteEffect, _by_value(WriteEffect)] = WriteEffect.AT_ONCE
    falls_back_after_s: Seconds = 10.0
    clip_low: int = 0
    clip_high: int = 0xFFFF
    address_register: int = -1
    speed_register: int = -1
    speed_codes: list[SpeedCodeTable] = []
    busy_until_s: Seconds = 0.0
    busy_code: int = 0x06
    save_register: int = -1
    memory: MemoryTable = MemoryTable()
    loss_timer_s: Seconds = 0.0
    safe_values: list[SafeTable] = []
    loss_recovery: Annotated[LossRecovery, _by_value(LossRecovery)] = LossRecovery.WHEN_ASKED
    map_shift: Annotated[int, Field(ge=-65535, le=65535)] = 0
    frozen_from_s: Seconds = float("inf")
    speaks_ascii: bool = False
    disobedience: DisobedienceTable = DisobedienceTable()


class CellTable(Strict):
    """[[cell]]: values from an address on: words, or one quantity that a process moves."""

    table: Annotated[Table, _by_value(Table)]
    address: Annotated[int, Field(ge=0, le=65535)]
    words: list[Annotated[int, Field(ge=0, le=65535)]] = []
    text: str = ""
    process: Annotated[str, BeforeValidator(_process)] = ""
    scale: float = 1.0
    kind: Literal[
        "int16", "float_high_first", "float_low_first", "float_bytes_exchanged", "uint32_low_first", "uint32_high_first"
    ] = "int16"
    clear_on_read: bool = False


class TypeFile(Strict):
    """A device type: types/NAME.toml."""

    words: str
    habits: HabitsTable = HabitsTable()
    cell: list[CellTable] = []
    identification: list[str] = []
    server_id: str = ""


class BehindTable(Strict):
    """[[device.second_port.behind]]: a device on the second port, and where its registers are shown."""

    name: str
    type: str
    address: Address
    powered: bool = True
    table: Annotated[Table, _by_value(Table)] = Table.INPUT_REGISTERS
    register_address: Annotated[int, Field(ge=0, le=65535)] = 0
    quantity: Annotated[int, Field(ge=1, le=125)] = 1
    shown_in: Annotated[Table, _by_value(Table)] = Table.HOLDING_REGISTERS
    shown_at: Annotated[int, Field(ge=0, le=65535)]
    age_at: Annotated[int, Field(ge=-1, le=65535)] = -1


class SecondPortTable(Strict):
    """[device.second_port]: a pair of its own, on which the device is the client."""

    settings: Settings
    period_s: Annotated[float, Field(gt=0)] = 1.0
    timeout_s: Annotated[float, Field(gt=0)] = 0.2
    when_lost: Annotated[WhenLost, _by_value(WhenLost)] = WhenLost.KEEPS
    shown_after_s: Seconds = 0.0
    behind: Annotated[list[BehindTable], Field(min_length=1)]


class DeviceTable(Strict):
    """[[device]]: one server on the line."""

    name: str
    type: str = "plain"
    address: Address
    more_addresses: list[Address] = []
    settings: Settings
    place: Annotated[int, Field(ge=0)] = 0
    metres: Annotated[float, Field(ge=0)] = 0.0
    powered: bool = True
    is_swapped: bool = False
    strength: Annotated[float, Field(gt=0)] = 1.0
    habits: HabitsTable | None = None
    cell: list[CellTable] = []
    second_port: SecondPortTable | None = None


class ClientTable(Strict):
    """[[client]]: another client that asks with a period."""

    name: str
    settings: Settings
    requests: Annotated[list[Hex], Field(min_length=1)]
    period_s: Annotated[float, Field(gt=0)]
    spacing_s: Annotated[float, Field(gt=0)] = 0.1

    @model_validator(mode="after")
    def _fits_its_period(self) -> ClientTable:
        if self.period_s < self.spacing_s * len(self.requests):
            raise ValueError("the requests with their spacing do not fit into the period")
        return self


class ChatterTable(Strict):
    """[[chatter]]: something else on the pair that sends the same bytes again and again."""

    name: str
    settings: Settings
    data: Hex
    period_s: Annotated[float, Field(gt=0)]


class PlannedTable(Strict):
    """[[planned]]: what the plan says of a device."""

    name: str
    address: Address
    settings: Settings
    place: Annotated[int, Field(ge=0)] = 0
    board: str = ""
    profile: str = ""


class ExpectedDevice(Strict):
    """[[expect.device]]: what a good tool finds."""

    server_address: Address
    settings: list[str] | Literal["any"] = "any"
    doubt: str = ""


class ExpectTable(Strict):
    """[expect]: compared as sets."""

    device: list[ExpectedDevice] = []
    silent: list[Address] = []
    foreign_client: bool = False
    causes: list[str] = []


class ScenarioFile(Strict):
    """The whole file."""

    name: str
    story: str
    seed: int = 1
    fault: str = ""
    line: LineTable = LineTable()
    adapter: AdapterTable = AdapterTable()
    adapter_settings: Settings = SerialSettings.of(9600, "8N1")
    device: list[DeviceTable] = []
    client: list[ClientTable] = []
    chatter: list[ChatterTable] = []
    planned: list[PlannedTable] = []
    expect: ExpectTable = ExpectTable()
