"""What a cycle would be if something were different: another speed or time-out, more devices, or dead ones."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.registers.cycle_forecast import (
    CycleForecast,
    DeviceCycle,
    MeasuredCycle,
    cycle_asking_all_s,
    cycle_forecast,
)
from buswalk.domain.registers.read_costs import ReadCosts

USUAL_SPEEDS = (1_200, 2_400, 4_800, 9_600, 19_200, 38_400, 57_600, 115_200)
MOST_MORE = 247


@dataclass(frozen=True, slots=True)
class OtherSpeed:
    """All devices at this speed, asked by plans made anew for it."""

    baud_rate: int


@dataclass(frozen=True, slots=True)
class OtherTimeOut:
    """Each reply is waited for so long."""

    seconds: float


@dataclass(frozen=True, slots=True)
class MoreDevices:
    """So many devices more.

    Attributes:
        like: Address of the device that they are like; 0 for like all that are there, one after the other.
    """

    count: int
    like: int = 0


@dataclass(frozen=True, slots=True)
class TheseSilent:
    """The devices at these addresses do not answer any more."""

    addresses: tuple[int, ...]


WhatIf: TypeAlias = OtherSpeed | OtherTimeOut | MoreDevices | TheseSilent


@dataclass(frozen=True, slots=True)
class TooShortFor:
    """A device that was seen to take longer than the time-out that is thought of: its replies would be missed."""

    server_address: int
    longest_turnaround_s: float


@dataclass(frozen=True, slots=True)
class WhatIfForecast:
    """A cycle as it is and as it would be.

    Attributes:
        answering: Devices that would answer; without one there is no cycle.
        silent: Devices that would not.
        asking_all_s: The cycle of a client that asks those in each cycle too; this one asks them rarely.
    """

    changes: tuple[WhatIf, ...]
    now: CycleForecast
    then: CycleForecast
    answering: int
    silent: int
    asking_all_s: float
    too_short_for: tuple[TooShortFor, ...] = ()


def what_if(cycle: MeasuredCycle, changes: Sequence[WhatIf]) -> WhatIfForecast:
    """Return what a cycle would be with all of these changes together."""
    devices = cycle.devices
    for one in changes:
        devices = changed(devices, one)
    answering = [one for one in devices if not one.is_absent]
    missed = (one for one in answering if one.server_address and 0.0 < one.wait_s < one.longest_turnaround_s)
    return WhatIfForecast(
        tuple(changes),
        cycle_forecast(cycle.devices, cycle.rules),
        cycle_forecast(devices, cycle.rules),
        len(answering),
        len(devices) - len(answering),
        cycle_asking_all_s(devices, cycle.rules),
        tuple(TooShortFor(one.server_address, one.longest_turnaround_s) for one in missed)
        if any(isinstance(one, OtherTimeOut) for one in changes)
        else (),
    )


def changed(devices: Sequence[DeviceCycle], change: WhatIf) -> tuple[DeviceCycle, ...]:
    """Return the devices after one change."""
    match change:
        case OtherSpeed(baud_rate):
            return at_speed(devices, baud_rate)
        case OtherTimeOut(seconds):
            return with_time_out(devices, seconds)
        case MoreDevices(count, like):
            return with_more(devices, count, like)
        case TheseSilent(addresses):
            return with_silent(devices, addresses)


def at_speed(devices: Iterable[DeviceCycle], baud_rate: int) -> tuple[DeviceCycle, ...]:
    """Return the devices at another speed, all of them; what they think stays as it is."""
    return tuple(device_at_speed(one, baud_rate) for one in devices)


def device_at_speed(device: DeviceCycle, baud_rate: int) -> DeviceCycle:
    """Return one device at another speed, asked by the plan that was made anew for it."""
    reads = next((one.reads for one in device.reads_at if one.baud_rate == baud_rate), device.reads)
    settings = replace(device.settings, baud_rate=baud_rate)
    return replace(device, settings=settings, costs=costs_at(device, baud_rate), reads=reads)


def costs_at(device: DeviceCycle, baud_rate: int) -> ReadCosts:
    """Return what reads of a device cost at another speed: characters and t3.5 change, nothing else."""
    settings = replace(device.settings, baud_rate=baud_rate)
    slower = device.settings.baud_rate / baud_rate
    silence_s = max(inter_frame_delay_s(settings), device.minimum_gap_s)
    beside_s = max(0.0, device.costs.beside_s - device.silence_s) + silence_s
    return replace(device.costs, character_s=device.costs.character_s * slower, beside_s=beside_s)


def with_latency(devices: Iterable[DeviceCycle], latency_s: float) -> tuple[DeviceCycle, ...]:
    """Return the devices on an adapter that hands over so late: it counts in the reply and in the silence after it."""
    return tuple(
        replace(one, costs=replace(one.costs, beside_s=one.turnaround_s + one.silence_s + 2.0 * latency_s))
        for one in devices
    )


def with_time_out(devices: Iterable[DeviceCycle], to_s: float) -> tuple[DeviceCycle, ...]:
    """Return the devices with another time-out: each request that nobody answers costs so much more or less."""
    return tuple(
        replace(
            one,
            wait_s=to_s,
            unanswered_s=max(0.0, one.unanswered_s + to_s - one.wait_s),
            absent_s=max(0.0, one.absent_s + to_s - one.wait_s),
        )
        for one in devices
    )


def with_more(devices: Sequence[DeviceCycle], more: int, like: int = 0) -> tuple[DeviceCycle, ...]:
    """Return the devices and so many more like the one at an address; at 0, like all that answer."""
    examples = [one for one in devices if not one.is_absent and like in (0, one.server_address)]
    if not examples:
        return tuple(devices)
    return (*devices, *(replace(examples[at % len(examples)], server_address=0) for at in range(more)))


def with_silent(devices: Iterable[DeviceCycle], addresses: Iterable[int]) -> tuple[DeviceCycle, ...]:
    """Return the devices, those at these addresses not answering."""
    gone = set(addresses)
    return tuple(replace(one, is_absent=True) if one.server_address in gone else one for one in devices)
