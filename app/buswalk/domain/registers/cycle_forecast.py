"""How long one cycle over all devices takes, what it consists of, and what it would be if something were different."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.registers.read_costs import ReadCosts

USUAL_SPEEDS = (9_600, 19_200, 38_400, 57_600, 115_200)
QUICK_LATENCY_S = 0.001
"""What adapters can be set to that hand over after 16 ms by default (common practice, no source)."""


class CyclePart(Enum):
    """What the seconds of a cycle are spent on."""

    CHARACTERS = "characters on the line"
    TURNAROUND = "devices that think before they answer"
    ADAPTER = "the adapter and this computer"
    SILENCES = "silences between frames"
    UNANSWERED = "requests that nobody answers"
    SETTINGS = "changes of speed and framing"


@dataclass(frozen=True, slots=True)
class ReadSize:
    """One request of a cycle with its reply.

    Attributes:
        byte_count: Of both frames.
        period_s: It is asked so often at most; 0 for once in each cycle.
    """

    byte_count: int
    period_s: float = 0.0


@dataclass(frozen=True, slots=True)
class DeviceCycle:
    """What one device adds to a cycle.

    Attributes:
        turnaround_s: The part of `costs.beside_s` in which the device thinks.
        minimum_gap_s: Least silence before its requests, beside t3.5; counted in `costs.beside_s`.
        unanswered_share: Of its requests.
        unanswered_s: What one such request costs: the wait, and the silence kept for a late reply.
        is_absent: It is asked rarely, and costs `unanswered_s` each time.
    """

    settings: SerialSettings
    reads: tuple[ReadSize, ...]
    costs: ReadCosts
    turnaround_s: float
    minimum_gap_s: float = 0.0
    unanswered_share: float = 0.0
    unanswered_s: float = 0.0
    is_absent: bool = False


@dataclass(frozen=True, slots=True)
class CycleRules:
    """What holds for the whole line.

    Attributes:
        share: Of the line's time that exchanges may take.
        settings_change_s: What one change of speed and framing costs.
    """

    absent_every_s: float
    share: float = 1.0
    settings_change_s: float = 0.0


@dataclass(frozen=True, slots=True)
class PartOfCycle:
    """So many seconds of each cycle go there."""

    part: CyclePart
    seconds: float


@dataclass(frozen=True, slots=True)
class CycleForecast:
    """One cycle: every request once, one after the other, absent devices now and then.

    Attributes:
        parts: The longest first; together `cycle_s`, but for what the share leaves free.
        demand: What the periods ask for, as a share of what the line can carry; 0 where nothing has a period. Above 1
            all periods are stretched alike.
    """

    cycle_s: float
    exchanges: int
    parts: tuple[PartOfCycle, ...]
    demand: float

    def seconds(self, part: CyclePart) -> float:
        """Return what goes into one part."""
        return sum(one.seconds for one in self.parts if one.part is part)


def cycle_forecast(devices: Sequence[DeviceCycle], rules: CycleRules) -> CycleForecast:
    """Return the mean length of a cycle.

    An absent device is asked every so many seconds, however long the cycle is: with a share `a` of all time spent on
    absent devices, a cycle is 1 / (1 - a) times as long.
    """
    present = [one for one in devices if not one.is_absent]
    seconds = {part: sum(_of_part(one, part) for one in present) for part in CyclePart}
    changes = len({one.settings for one in present})
    seconds[CyclePart.SETTINGS] = changes * rules.settings_change_s if changes > 1 else 0.0
    lost = sum(one.unanswered_s for one in devices if one.is_absent) / rules.absent_every_s
    whole_s = sum(seconds.values())
    stretched_s = whole_s / max(1.0 - lost, 0.01)
    seconds[CyclePart.UNANSWERED] += stretched_s - whole_s
    parts = (PartOfCycle(part, one) for part, one in seconds.items() if one > 0.0)
    demand = sum(_demand(one) for one in present) / max(1.0 - lost, 0.01) / rules.share
    return CycleForecast(
        stretched_s / rules.share,
        sum(len(one.reads) for one in present),
        tuple(sorted(parts, key=lambda one: -one.seconds)),
        demand,
    )


def _of_part(device: DeviceCycle, part: CyclePart) -> float:
    """Return what a device that is there spends on one part in a cycle."""
    answered = (1.0 - device.unanswered_share) * len(device.reads)
    match part:
        case CyclePart.CHARACTERS:
            return (1.0 - device.unanswered_share) * sum(
                one.byte_count * device.costs.character_s for one in device.reads
            )
        case CyclePart.TURNAROUND:
            thinking_s = sum(device.costs.thinking_s(one.byte_count) for one in device.reads)
            return answered * device.turnaround_s + (1.0 - device.unanswered_share) * thinking_s
        case CyclePart.ADAPTER:
            return answered * max(0.0, device.costs.beside_s - device.turnaround_s - _silence_s(device))
        case CyclePart.SILENCES:
            return answered * min(_silence_s(device), max(0.0, device.costs.beside_s - device.turnaround_s))
        case CyclePart.UNANSWERED:
            return device.unanswered_share * device.unanswered_s * len(device.reads)
        case CyclePart.SETTINGS:
            return 0.0


def _silence_s(device: DeviceCycle) -> float:
    return max(inter_frame_delay_s(device.settings), device.minimum_gap_s)


def _demand(device: DeviceCycle) -> float:
    return sum(device.costs.of_bytes_s(one.byte_count) / one.period_s for one in device.reads if one.period_s > 0.0)


# What if


def at_speed(devices: Iterable[DeviceCycle], baud_rate: int) -> tuple[DeviceCycle, ...]:
    """Return the devices at another speed, all of them; what they think stays as it is.

    The requests stay as well: plans made anew for that speed can only be quicker.
    """
    return tuple(_device_at_speed(one, baud_rate) for one in devices)


def _device_at_speed(device: DeviceCycle, baud_rate: int) -> DeviceCycle:
    settings = replace(device.settings, baud_rate=baud_rate)
    faster = device.settings.baud_rate / baud_rate
    silence_s = max(inter_frame_delay_s(settings), device.minimum_gap_s)
    beside_s = max(0.0, device.costs.beside_s - _silence_s(device)) + silence_s
    costs = replace(device.costs, character_s=device.costs.character_s * faster, beside_s=beside_s)
    return replace(device, settings=settings, costs=costs)


def with_latency(devices: Iterable[DeviceCycle], latency_s: float) -> tuple[DeviceCycle, ...]:
    """Return the devices on an adapter that hands over so late: it counts in the reply and in the silence after it."""
    return tuple(
        replace(one, costs=replace(one.costs, beside_s=one.turnaround_s + max(_silence_s(one), 0.0) + 2.0 * latency_s))
        for one in devices
    )


def with_time_out(devices: Iterable[DeviceCycle], from_s: float, to_s: float) -> tuple[DeviceCycle, ...]:
    """Return the devices with another time-out: each request that nobody answers costs so much more or less."""
    return tuple(replace(one, unanswered_s=max(0.0, one.unanswered_s + to_s - from_s)) for one in devices)


def with_more(devices: Sequence[DeviceCycle], more: int) -> tuple[DeviceCycle, ...]:
    """Return the devices and so many more like them."""
    present = [one for one in devices if not one.is_absent]
    return (*devices, *(present[at % len(present)] for at in range(more)))


def with_dead(devices: Sequence[DeviceCycle], dead: int, unanswered_s: float) -> tuple[DeviceCycle, ...]:
    """Return the devices, so many more of which do not answer; the last ones are taken for them."""
    present = [at for at, one in enumerate(devices) if not one.is_absent]
    gone = set(present[len(present) - dead :]) if dead else set()
    return tuple(
        replace(one, is_absent=True, unanswered_s=unanswered_s) if at in gone else one for at, one in enumerate(devices)
    )


@dataclass(frozen=True, slots=True)
class Help:
    """Something that can be done, and the seconds that each cycle would be shorter."""

    what: str
    saves_s: float


def what_would_help(devices: Sequence[DeviceCycle], rules: CycleRules) -> tuple[Help, ...]:
    """Return what would make the cycle shorter, the most first."""
    now_s = cycle_forecast(devices, rules).cycle_s
    helps = [
        Help(what, now_s - cycle_forecast(changed, rules).cycle_s)
        for what, change in _CHANGES
        for changed in (change(devices),)
        if any(not one.is_absent for one in changed)
    ]
    return tuple(sorted((one for one in helps if one.saves_s > now_s * 0.01), key=lambda one: -one.saves_s))


def _next_speed(devices: Sequence[DeviceCycle]) -> tuple[DeviceCycle, ...]:
    slowest = min(one.settings.baud_rate for one in devices)
    faster = next((one for one in USUAL_SPEEDS if one > slowest), slowest)
    return tuple(_device_at_speed(one, faster) if one.settings.baud_rate < faster else one for one in devices)


def _quick_adapter(devices: Sequence[DeviceCycle]) -> tuple[DeviceCycle, ...]:
    quicker = with_latency(devices, QUICK_LATENCY_S)
    return tuple(min(pair, key=lambda one: one.costs.beside_s) for pair in zip(devices, quicker, strict=True))


def _all_answer(devices: Sequence[DeviceCycle]) -> tuple[DeviceCycle, ...]:
    return tuple(replace(one, unanswered_share=0.0) for one in devices if not one.is_absent)


def _no_gap(devices: Sequence[DeviceCycle]) -> tuple[DeviceCycle, ...]:
    return tuple(
        replace(
            one,
            minimum_gap_s=0.0,
            costs=replace(
                one.costs,
                beside_s=max(0.0, one.costs.beside_s - _silence_s(one)) + inter_frame_delay_s(one.settings),
            ),
        )
        for one in devices
    )


_CHANGES: tuple[tuple[str, Callable[[Sequence[DeviceCycle]], tuple[DeviceCycle, ...]]], ...] = (
    ("the next higher speed, on the slowest devices", _next_speed),
    ("an adapter that hands over after 1 ms", _quick_adapter),
    ("an answer to every request: repair or take out what is silent", _all_answer),
    ("no pause beyond t3.5, if the devices bear it", _no_gap),
)
