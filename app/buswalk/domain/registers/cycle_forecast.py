"""How long one cycle over all devices takes, and what it consists of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.registers.read_costs import REQUEST_BYTES, ReadCosts


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
class ReadsAtSpeed:
    """The requests of a plan made anew for another speed."""

    baud_rate: int
    reads: tuple[ReadSize, ...]


@dataclass(frozen=True, slots=True)
class DeviceCycle:
    """What one device adds to a cycle.

    Attributes:
        server_address: 0 for a device that is only thought of.
        turnaround_s: The part of `costs.beside_s` in which the device thinks.
        minimum_gap_s: Least silence before its requests, beside t3.5; counted in `costs.beside_s`.
        unanswered_share: Of its requests.
        unanswered_s: What one such request costs: the wait, and the silence kept for a late reply.
        is_absent: It is asked rarely, and costs `absent_s` each time.
        absent_s: What a request costs once nobody is there; no late reply is expected then.
        wait_s: How long a reply is waited for; a part of `unanswered_s` and `absent_s`.
        longest_turnaround_s: The longest seen.
        reads_at: Requests at the speeds at which plans made anew are other ones; elsewhere they stay `reads`.
    """

    server_address: int
    settings: SerialSettings
    reads: tuple[ReadSize, ...]
    costs: ReadCosts
    turnaround_s: float
    minimum_gap_s: float = 0.0
    unanswered_share: float = 0.0
    unanswered_s: float = 0.0
    is_absent: bool = False
    absent_s: float = 0.0
    wait_s: float = 0.0
    longest_turnaround_s: float = 0.0
    reads_at: tuple[ReadsAtSpeed, ...] = ()

    @property
    def silence_s(self) -> float:
        """The silence before each of its requests."""
        return max(inter_frame_delay_s(self.settings), self.minimum_gap_s)


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
class MeasuredCycle:
    """All that a forecast needs, as it was measured: the base of every what-if."""

    devices: tuple[DeviceCycle, ...]
    rules: CycleRules


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
    absent devices, a cycle is 1 / (1 - a) times as long. Where there are many of them, they and the others take turns:
    no more than one of them is asked for each other request.
    """
    present = [one for one in devices if not one.is_absent]
    seconds = {part: sum(_of_part(one, part) for one in present) for part in CyclePart}
    changes = len({one.settings for one in present})
    seconds[CyclePart.SETTINGS] = changes * rules.settings_change_s if changes > 1 else 0.0
    exchanges = sum(len(one.reads) for one in present)
    whole_s = sum(seconds.values())
    stretched_s = whole_s * _stretched([one.absent_s for one in devices if one.is_absent], whole_s, exchanges, rules)
    seconds[CyclePart.UNANSWERED] += stretched_s - whole_s
    parts = (PartOfCycle(part, one) for part, one in seconds.items() if one > 0.0)
    demand = sum(_demand(one) for one in present) * (stretched_s / whole_s if whole_s else 1.0) / rules.share
    return CycleForecast(
        stretched_s / rules.share,
        exchanges,
        tuple(sorted(parts, key=lambda one: -one.seconds)),
        demand,
    )


def cycle_asking_all_s(devices: Sequence[DeviceCycle], rules: CycleRules) -> float:
    """Return the cycle of a client that asks absent devices in every cycle as well, as many do."""
    present = cycle_forecast([one for one in devices if not one.is_absent], rules).cycle_s
    waited_s = sum(
        len(one.reads) * (REQUEST_BYTES * one.costs.character_s + one.wait_s) for one in devices if one.is_absent
    )
    return present + waited_s / rules.share


def _stretched(absent_s: Sequence[float], whole_s: float, exchanges: int, rules: CycleRules) -> float:
    """Return how many times longer a cycle is with what absent devices cost."""
    if not absent_s or whole_s <= 0.0:
        return 1.0
    taking_turns = 1.0 + exchanges * sum(absent_s) / len(absent_s) / whole_s
    left = 1.0 - sum(absent_s) / rules.absent_every_s
    return min(1.0 / left, taking_turns) if left > 0.0 else taking_turns


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
            return answered * max(0.0, device.costs.beside_s - device.turnaround_s - device.silence_s)
        case CyclePart.SILENCES:
            return answered * min(device.silence_s, max(0.0, device.costs.beside_s - device.turnaround_s))
        case CyclePart.UNANSWERED:
            return device.unanswered_share * device.unanswered_s * len(device.reads)
        case CyclePart.SETTINGS:
            return 0.0


def _demand(device: DeviceCycle) -> float:
    return sum(device.costs.of_bytes_s(one.byte_count) / one.period_s for one in device.reads if one.period_s > 0.0)
