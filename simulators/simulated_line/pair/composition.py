"""What the pair looks like to one receiver when several drivers, faults and its own wiring are taken together."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from simulated_line.pair.disturbance import Pulse
from simulated_line.pair.line_habits import HeldLevel, OverlapRule, Window
from simulated_line.pair.transmission import Transmission
from simulated_line.pair.waveform import Waveform, combined_toggles

IDLE = 2


@dataclass(frozen=True, slots=True)
class HeldSpan:
    """The pair held at a level over a window."""

    level: HeldLevel
    window: Window


@dataclass(frozen=True, slots=True)
class Wiring:
    """How one receiver is joined to the pair.

    Attributes:
        is_swapped: Its two wires are exchanged.
        idle_is_driven: The pair is biased, so idle has a sign.
    """

    is_swapped: bool
    idle_is_driven: bool


def compose(
    transmissions: Sequence[Transmission],
    held: Sequence[HeldSpan],
    rule: OverlapRule,
    wiring: Wiring,
    pulses: Sequence[Pulse],
) -> Waveform:
    """Return the level at a receiver: drivers by the overlap rule, then holds, wiring, and flips by noise.

    Noise flips the pair only while somebody drives it; a floating pair's own chatter is a matter of glitches.
    """
    if len(transmissions) == 1 and not held and not wiring.is_swapped and _is_plain(transmissions[0]):
        plain = transmissions[0].toggles
        return Waveform(1, combined_toggles((plain, _flips(pulses))) if pulses else plain)
    breakpoints = sorted(_breakpoints(transmissions, held))
    as_seen = _levels_seen(wiring)
    level = initial = as_seen[IDLE]
    toggles: list[float] = []
    for time_s in breakpoints:
        seen = as_seen[_state_at(time_s, transmissions, held, rule)]
        if seen != level:
            toggles.append(time_s)
            level = seen
    return Waveform(initial, combined_toggles((toggles, _flips(pulses))) if pulses else tuple(toggles))


def _is_plain(one: Transmission) -> bool:
    """Its wires are right and its driver is on from the first toggle to the last."""
    return not one.is_swapped and one.drives_from_s <= one.begin_s and one.drives_until_s >= one.toggles[-1]


def _flips(pulses: Sequence[Pulse]) -> list[float]:
    return [edge for pulse in pulses for edge in (pulse.begin_s, pulse.end_s)]


def _levels_seen(wiring: Wiring) -> tuple[int, int, int]:
    """Return the level a receiver takes a driven 0, a driven 1 and an idle pair for."""
    if not wiring.is_swapped:
        return (0, 1, 1)
    return (1, 0, 0 if wiring.idle_is_driven else 1)


def _breakpoints(transmissions: Sequence[Transmission], held: Sequence[HeldSpan]) -> set[float]:
    points: set[float] = set()
    for one in transmissions:
        points.update(one.toggles)
        points.update((one.drives_from_s, one.drives_until_s))
    for span in held:
        points.update((span.window.from_s, span.window.until_s))
    return points


def _state_at(time_s: float, transmissions: Sequence[Transmission], held: Sequence[HeldSpan], rule: OverlapRule) -> int:
    for span in held:
        if span.window.from_s <= time_s < span.window.until_s:
            return {HeldLevel.MARK: 1, HeldLevel.SPACE: 0, HeldLevel.SHORT: IDLE}[span.level]
    driving = [one for one in transmissions if one.drives_from_s <= time_s < one.drives_until_s]
    if not driving:
        return IDLE
    if rule is OverlapRule.STRONGER_WINS:
        driving = [max(driving, key=lambda one: one.strength)]
    levels = [one.level_at_index(bisect_right(one.toggles, time_s)) for one in driving]
    return max(levels) if rule is OverlapRule.ONE_WINS else min(levels)
