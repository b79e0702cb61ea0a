"""What an engineer does to a line with two hands. Each act returns one sentence, so that it can be noted as a mark."""

from __future__ import annotations

from collections.abc import Mapping

from simulated_line.pair.segment import Segment
from simulated_line.servers.device import Device

OFF_FOR_S = 3.0
"""How long a supply is off when it is cycled."""


class Hands:
    """Acts on the devices of one site, by name; also on those behind the second port of a controller.

    Each raises KeyError for a name that is not there.
    """

    def __init__(self, segment: Segment, devices: Mapping[str, Device], pairs: Mapping[str, Segment]) -> None:
        self._segment = segment
        self._devices = devices
        self._pairs = pairs
        self._cut_off: dict[str, tuple[str, ...]] = {}
        """Where the cable is open, and who hung behind it."""

    def swap_pair(self, at: str) -> str:
        """Exchange the two wires at a device, or at the adapter."""
        state = "exchanged" if self._pairs[at].swap(at) else "as they were"
        return f"the two wires at {at} are {state}"

    def unplug(self, device: str) -> str:
        """Take a device off the pair."""
        _ = self._devices[device]
        self._pairs[device].plug(device, is_in=False)
        return f"{device} is unplugged from the pair"

    def plug_in(self, device: str) -> str:
        """Join it again."""
        _ = self._devices[device]
        self._pairs[device].plug(device, is_in=True)
        return f"{device} is plugged in again"

    def open_cable(self, device: str) -> str:
        """Pull the plug that joins a device to the next one: all behind it are off the pair."""
        pair = self._pairs[device]
        behind = pair.plugged_behind(device)
        for name in behind:
            pair.plug(name, is_in=False)
        self._cut_off[device] = (*self._cut_off.get(device, ()), *behind)
        return f"the cable is open behind {device}: {_devices(len(behind))} cut off"

    def join_cable(self, device: str) -> str:
        """Put that plug in again: those that it had cut off are on the pair, those unplugged one by one stay off."""
        pair = self._pairs[device]
        behind = self._cut_off.pop(device, ())
        for name in behind:
            pair.plug(name, is_in=True)
        return f"the cable is joined again behind {device}: {_devices(len(behind))} back on the pair"

    def power_cycle(self, device: str) -> str:
        """Take its supply away for three seconds."""
        one = self._devices[device]
        one.set_power(is_on=False)
        self._segment.at(self._segment.now_s() + OFF_FOR_S, lambda: one.set_power(is_on=True))
        return f"{device} is without supply for {OFF_FOR_S:.0f} s, then boots"

    def power_on(self, device: str) -> str:
        """Give a device its supply."""
        self._devices[device].set_power(is_on=True)
        return f"{device} has supply and boots"

    def on_battery(self) -> str:
        """Take the laptop off its charger."""
        self._segment.set_battery(is_on=True)
        return "the laptop runs on its battery"

    def on_charger(self) -> str:
        """Put it on its charger again."""
        self._segment.set_battery(is_on=False)
        return "the laptop runs on its charger"

    def plant_on(self) -> str:
        """Let the plant run that makes noise."""
        self._segment.set_plant(is_on=True)
        return "the plant runs"

    def plant_off(self) -> str:
        """Stop it."""
        self._segment.set_plant(is_on=False)
        return "the plant stands"


def _devices(count: int) -> str:
    return "one device" if count == 1 else f"{count} devices"
