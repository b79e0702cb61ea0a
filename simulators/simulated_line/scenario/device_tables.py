"""The devices of a scenario file, and the file of a device type; how they behave is in `habit_tables`."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from simulated_line.processes.table import PROCESSES
from simulated_line.scenario.habit_tables import HabitsTable
from simulated_line.scenario.strict_table import Strict
from simulated_line.scenario.written_values import Address, Seconds, Settings, by_value
from simulated_line.servers.register_map import Table
from simulated_line.servers.second_port import WhenLost


def _process(value: object) -> object:
    if isinstance(value, str) and value and value not in PROCESSES:
        near = get_close_matches(value, PROCESSES, 1)
        raise ValueError(f"did you mean '{near[0]}'?" if near else f"choose one of {', '.join(sorted(PROCESSES))}")
    return value


class CellTable(Strict):
    """[[cell]]: values from an address on: words, or one quantity that a process moves."""

    table: Annotated[Table, by_value(Table)]
    address: Annotated[int, Field(ge=0, le=65535)]
    words: list[Annotated[int, Field(ge=0, le=65535)]] = Field(default=[])
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
    cell: list[CellTable] = Field(default=[])
    identification: list[str] = Field(default=[])
    server_id: str = ""


class BehindTable(Strict):
    """[[device.second_port.behind]]: a device on the second port, and where its registers are shown."""

    name: str
    type: str
    address: Address
    powered: bool = True
    table: Annotated[Table, by_value(Table)] = Table.INPUT_REGISTERS
    register_address: Annotated[int, Field(ge=0, le=65535)] = 0
    quantity: Annotated[int, Field(ge=1, le=125)] = 1
    shown_in: Annotated[Table, by_value(Table)] = Table.HOLDING_REGISTERS
    shown_at: Annotated[int, Field(ge=0, le=65535)]
    age_at: Annotated[int, Field(ge=-1, le=65535)] = -1


class SecondPortTable(Strict):
    """[device.second_port]: a pair of its own, on which the device is the client."""

    settings: Settings
    period_s: Annotated[float, Field(gt=0)] = 1.0
    timeout_s: Annotated[float, Field(gt=0)] = 0.2
    when_lost: Annotated[WhenLost, by_value(WhenLost)] = WhenLost.KEEPS
    shown_after_s: Seconds = 0.0
    behind: Annotated[list[BehindTable], Field(min_length=1)]


class DeviceTable(Strict):
    """[[device]]: one server on the line."""

    name: str
    type: str = "plain"
    address: Address
    more_addresses: list[Address] = Field(default=[])
    settings: Settings
    place: Annotated[int, Field(ge=0)] = 0
    metres: Annotated[float, Field(ge=0)] = 0.0
    powered: bool = True
    is_swapped: bool = False
    strength: Annotated[float, Field(gt=0)] = 1.0
    habits: HabitsTable | None = None
    cell: list[CellTable] = Field(default=[])
    second_port: SecondPortTable | None = None
