"""A whole site out of a scenario: the pair, its stations, the adapter, and the hands of an engineer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.adapter.adapter import Adapter
from simulated_line.adapter.line import SimulatedLine
from simulated_line.hands import Hands
from simulated_line.pair.place import Place
from simulated_line.pair.segment import Segment
from simulated_line.scenario.building import (
    adapter_habits_of,
    device_habits_of,
    line_habits_of,
    registers_of,
)
from simulated_line.scenario.model import DeviceTable, ScenarioFile
from simulated_line.scenario.reading import load_type
from simulated_line.servers.device import Device
from simulated_line.servers.foreign_client import Chatterer, ForeignClient, Round
from simulated_line.timeline import Timeline


class SimulatedSite:
    """A site on a timeline. Its devices have been on for long when it begins."""

    def __init__(self, scenario: ScenarioFile, timeline: Timeline) -> None:
        self._scenario = scenario
        self._timeline = timeline
        habits = line_habits_of(scenario.line)
        if scenario.adapter.supplies_bias:
            habits = replace(habits, biased=True)
        self._segment = Segment(timeline, habits, scenario.seed)
        self._devices = {table.name: self._device(table) for table in scenario.device}
        self._others(scenario)
        self._adapter = Adapter(
            self._segment,
            adapter_habits_of(scenario.adapter),
            scenario.adapter_settings,
            Place(),
            scenario.seed,
        )
        self._hands = Hands(self._segment, self._devices, adapter_name=self._adapter.name)

    @property
    def scenario(self) -> ScenarioFile:
        """What it was built from."""
        return self._scenario

    @property
    def timeline(self) -> Timeline:
        """Its time."""
        return self._timeline

    @property
    def segment(self) -> Segment:
        """Its pair of wires."""
        return self._segment

    @property
    def devices(self) -> dict[str, Device]:
        """Its servers by name."""
        return dict(self._devices)

    @property
    def hands(self) -> Hands:
        """What an engineer can do to it."""
        return self._hands

    @property
    def adapter(self) -> Adapter:
        """The adapter on it."""
        return self._adapter

    def open_line(self, port: str, settings: SerialSettings, keep_pace: Callable[[], None]) -> SimulatedLine:
        """Open the adapter as a line, with these settings from the start."""
        self._adapter.set_settings(settings)
        return SimulatedLine(self._timeline, self._adapter, port, keep_pace)

    def _device(self, table: DeviceTable) -> Device:
        type_file = load_type(table.type)
        device = Device(
            self._segment,
            table.name,
            (table.address, *table.more_addresses),
            registers_of(type_file, self._scenario.seed, table.name),
            device_habits_of(table, type_file),
        )
        device.set_seed(self._scenario.seed)
        device.identify_as(
            {number: text.encode("ascii") for number, text in enumerate(type_file.identification)},
            type_file.server_id.encode("ascii") + b"\xff" if type_file.server_id else b"",
        )
        self._segment.attach(device, Place(table.place, table.metres), strength=table.strength)
        if table.is_swapped:
            self._segment.swap(table.name)
        if not table.powered:
            device.set_power(is_on=False)
        return device

    def _others(self, scenario: ScenarioFile) -> None:
        for client in scenario.client:
            bodies = tuple(bytes.fromhex(text) for text in client.requests)
            asked = Round(bodies, client.period_s, client.spacing_s)
            self._segment.attach(ForeignClient(self._segment, client.name, client.settings, asked), Place())
        for chatter in scenario.chatter:
            data = bytes.fromhex(chatter.data)
            self._segment.attach(
                Chatterer(self._segment, chatter.name, chatter.settings, data, chatter.period_s), Place()
            )


def build_site(scenario: ScenarioFile, timeline: Timeline) -> SimulatedSite:
    """Build the site of a scenario on a timeline."""
    return SimulatedSite(scenario, timeline)
