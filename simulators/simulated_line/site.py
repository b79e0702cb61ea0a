"""A whole site out of a scenario: the pair, its stations, the adapter, and the hands of an engineer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.adapter.adapter import Adapter
from simulated_line.adapter.line import SimulatedLine
from simulated_line.adapter.port import Port
from simulated_line.hands import Hands
from simulated_line.pair.line_habits import LineHabits
from simulated_line.pair.place import Place
from simulated_line.pair.segment import Segment
from simulated_line.scenario.adapter_table import AdapterTable
from simulated_line.scenario.building import (
    adapter_habits_of,
    device_habits_of,
    habits_of,
    line_habits_of,
    registers_of,
    second_port_of,
)
from simulated_line.scenario.device_tables import DeviceTable, SecondPortTable
from simulated_line.scenario.model import ScenarioFile
from simulated_line.scenario.reading import load_type
from simulated_line.servers.device import Device
from simulated_line.servers.foreign_client import Chatterer, ForeignClient, Round
from simulated_line.servers.second_port import SecondPort
from simulated_line.timeline import FOREVER_S, Timeline


class SimulatedSite:
    """A site on a timeline. Its devices have been on for long when it begins."""

    def __init__(self, scenario: ScenarioFile, timeline: Timeline) -> None:
        self._scenario = scenario
        self._timeline = timeline
        habits = line_habits_of(scenario.line)
        with_adapter = replace(habits, biased=habits.biased or scenario.adapter.supplies_bias)
        self._segment = Segment(timeline, with_adapter, scenario.seed)
        self._plan_bias(scenario.adapter, alone=habits, with_adapter=with_adapter)
        self._devices: dict[str, Device] = {}
        self._behind: dict[str, Device] = {}
        self._pairs: dict[str, Segment] = {}
        for table in scenario.device:
            self._build_device(table)
        self._others(scenario)
        self._adapter = Adapter(
            self._segment,
            adapter_habits_of(scenario.adapter),
            scenario.adapter_settings,
            Place(),
            scenario.seed,
        )
        self._pairs[self._adapter.name] = self._segment
        self._hands = Hands(self._segment, self._devices | self._behind, self._pairs)
        self._port = Port(timeline, self._adapter.habits)

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
        """The servers on its pair by name; those behind a second port are not among them."""
        return dict(self._devices)

    @property
    def behind(self) -> dict[str, Device]:
        """The servers behind second ports by name."""
        return dict(self._behind)

    @property
    def port(self) -> Port:
        """The adapter as the computer lists it."""
        return self._port

    @property
    def hands(self) -> Hands:
        """What an engineer can do to it."""
        return self._hands

    @property
    def adapter(self) -> Adapter:
        """The adapter on it."""
        return self._adapter

    def open_line(self, port: str, settings: SerialSettings, keep_pace: Callable[[], None]) -> SimulatedLine:
        """Open the adapter as a line, with these settings from the start.

        Raises:
            PortError: It is held by another program, unplugged, or has another name now.
        """
        self._port.require(port)
        self._adapter.purge_received()
        self._adapter.set_settings(settings)
        return SimulatedLine(self._timeline, self._adapter, port, keep_pace)

    def _plan_bias(self, adapter: AdapterTable, alone: LineHabits, with_adapter: LineHabits) -> None:
        """A bias that the adapter brings goes and comes with it."""
        if alone == with_adapter or adapter.unplugged_from_s == FOREVER_S:
            return
        back_s = adapter.unplugged_from_s + adapter.back_after_s
        self._timeline.at(adapter.unplugged_from_s, lambda: self._segment.change_habits(alone))
        if back_s < FOREVER_S:
            self._timeline.at(back_s, lambda: self._segment.change_habits(with_adapter))

    def _build_device(self, table: DeviceTable) -> None:
        device = self._devices[table.name] = self._device(table, self._segment)
        if table.second_port is not None:
            self._build_behind(device, table.second_port)

    def _build_behind(self, controller: Device, table: SecondPortTable) -> None:
        """A pair of its own, with the controller as its client and other devices as servers."""
        pair = Segment(self._timeline, LineHabits(), self._scenario.seed)
        habits, mirrored = second_port_of(table)
        port = SecondPort(pair, controller.name, habits, mirrored, lambda: controller.is_powered)
        port.show_in(controller.registers)
        pair.attach(port, Place())
        for place, one in enumerate(table.behind, start=1):
            behind = DeviceTable(
                name=one.name,
                type=one.type,
                address=one.address,
                settings=table.settings,
                place=place,
                powered=one.powered,
            )
            self._behind[one.name] = self._device(behind, pair)

    def _device(self, table: DeviceTable, pair: Segment) -> Device:
        type_file, seed = load_type(table.type), self._scenario.seed
        device = Device(
            pair,
            table.name,
            (table.address, *table.more_addresses),
            registers_of([*type_file.cell, *table.cell], habits_of(table, type_file), seed, table.name),
            device_habits_of(table, type_file),
        )
        device.set_seed(seed)
        device.identify_as(
            {number: text.encode("ascii") for number, text in enumerate(type_file.identification)},
            type_file.server_id.encode("ascii") + b"\xff" if type_file.server_id else b"",
        )
        pair.attach(device, Place(table.place, table.metres), strength=table.strength)
        if table.is_swapped:
            pair.swap(table.name)
        if not table.powered:
            device.set_power(is_on=False)
        self._pairs[table.name] = pair
        return device

    def _others(self, scenario: ScenarioFile) -> None:
        for client in scenario.client:
            bodies = tuple(bytes.fromhex(text) for text in client.requests)
            asked = Round(bodies, client.period_s, client.spacing_s, client.from_s)
            self._segment.attach(ForeignClient(self._segment, client.name, client.settings, asked), Place())
        for chatter in scenario.chatter:
            data = bytes.fromhex(chatter.data)
            self._segment.attach(
                Chatterer(self._segment, chatter.name, chatter.settings, data, chatter.period_s), Place()
            )


def build_site(scenario: ScenarioFile, timeline: Timeline) -> SimulatedSite:
    """Build the site of a scenario on a timeline."""
    return SimulatedSite(scenario, timeline)
