"""The format of a scenario file, strict: an unknown key or a wrong kind of value is an error."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.scenario.adapter_table import AdapterTable
from simulated_line.scenario.device_tables import DeviceTable
from simulated_line.scenario.line_tables import LineTable
from simulated_line.scenario.strict_table import Strict
from simulated_line.scenario.written_values import Address, Hex, Settings


class ClientTable(Strict):
    """[[client]]: another client that asks with a period, from a time on."""

    name: str
    settings: Settings
    requests: Annotated[list[Hex], Field(min_length=1)]
    period_s: Annotated[float, Field(gt=0)]
    spacing_s: Annotated[float, Field(gt=0)] = 0.1
    from_s: Annotated[float, Field(ge=0)] = 0.0

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

    device: list[ExpectedDevice] = Field(default=[])
    silent: list[Address] = Field(default=[])
    foreign_client: bool = False
    causes: list[str] = Field(default=[])


class ScenarioFile(Strict):
    """The whole file."""

    name: str
    story: str
    seed: int = 1
    fault: str = ""
    line: LineTable = LineTable()
    adapter: AdapterTable = AdapterTable()
    adapter_settings: Settings = SerialSettings.of(9600, "8N1")
    device: list[DeviceTable] = Field(default=[])
    client: list[ClientTable] = Field(default=[])
    chatter: list[ChatterTable] = Field(default=[])
    planned: list[PlannedTable] = Field(default=[])
    expect: ExpectTable = ExpectTable()
