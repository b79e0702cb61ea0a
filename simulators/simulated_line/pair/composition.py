"""What the pair looks like to one receiver when several drivers, faults and its own wiring are taken together."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from simulated_line.pair.disturbance import Pulse
from simulated_line.pair.line_habits import HeldLevel, OverlapRule, Window
from simulated_line.pair.transmission import Transmission
from simulated_line.pair.waveform import Waveform, combined_toggles
from simulated_line.timeline import FOREVER_S

IDLE = 2
SEEN_RIGHT = (0, 1, 1)
"""What a receiver with its wires right takes a driven 0, a driven 1 and an idle pair for."""

HELD_STATES = {HeldLevel.MARK: 1, HeldLevel.SPACE: 0, HeldLevel.SHORT: IDLE}


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
    as_seen = _levels_seen(wiring)
    toggles: list[float] = []
    for together in _clusters(transmissions, held):
        toggles += _cluster_toggles(together, rule, as_seen)
    return Waveform(as_seen[IDLE], combined_toggles((toggles, _flips(pulses))) if pulses else tuple(toggles))


@dataclass(slots=True)
class _Cluster:
    """Drivers and holds that touch each other in time; before and behind it the pair is idle."""

    transmissions: list[Transmission]
    held: list[HeldSpan]
    until_s: float


def _clusters(transmissions: Sequence[Transmission], held: Sequence[HeldSpan]) -> list[_Cluster]:
    """Split what is on the pair wherever nobody is: only what is there at the same time has to be compared."""
    spans: list[tuple[float, float, Transmission | HeldSpan]]
    spans = [(min(one.begin_s, one.drives_from_s), one.ends_s, one) for one in transmissions]
    spans += [(span.window.from_s, span.window.until_s, span) for span in held]
    clusters: list[_Cluster] = []
    for from_s, until_s, one in sorted(spans, key=lambda span: span[0]):
        if not clusters or from_s > clusters[-1].until_s:
            clusters.append(_Cluster([], [], until_s))
        cluster = clusters[-1]
        cluster.until_s = max(cluster.until_s, until_s)
        if isinstance(one, Transmission):
            cluster.transmissions.append(one)
        else:
            cluster.held.append(one)
    return clusters


def _cluster_toggles(cluster: _Cluster, rule: OverlapRule, as_seen: tuple[int, int, int]) -> Sequence[float]:
    """Return when the level at the receiver changes; it begins and ends with that of an idle pair."""
    if len(cluster.transmissions) == 1 and not cluster.held and as_seen == SEEN_RIGHT:
        (alone,) = cluster.transmissions
        if _is_plain(alone):
            return alone.toggles
    level = as_seen[IDLE]
    toggles: list[float] = []
    for time_s, state in _states(cluster, rule):
        if as_seen[state] != level:
            toggles.append(time_s)
            level = as_seen[state]
    return toggles


def _states(cluster: _Cluster, rule: OverlapRule) -> Iterator[tuple[float, int]]:
    """Yield the state of the pair from each moment on at which it may change."""
    edges = sorted(_edges(cluster))
    for from_s, until_s in zip(edges, [*edges[1:], FOREVER_S], strict=True):
        held = [one.level for one in cluster.held if one.window.from_s <= from_s < one.window.until_s]
        driving = [one for one in cluster.transmissions if one.drives_from_s <= from_s < one.drives_until_s]
        if held:
            yield from_s, HELD_STATES[held[0]]
        elif not driving:
            yield from_s, IDLE
        elif rule is OverlapRule.STRONGER_WINS:
            yield from _driven_by([max(driving, key=lambda one: one.strength)], from_s, until_s, rule)
        else:
            yield from _driven_by(driving, from_s, until_s, rule)


def _edges(cluster: _Cluster) -> set[float]:
    """Return when drivers and holds come and go; between them the same ones are there."""
    edges = {edge for one in cluster.transmissions for edge in (one.drives_from_s, one.drives_until_s)}
    return edges | {edge for one in cluster.held for edge in (one.window.from_s, one.window.until_s)}


def _driven_by(
    driving: Sequence[Transmission], from_s: float, until_s: float, rule: OverlapRule
) -> Iterator[tuple[float, int]]:
    moments = [from_s]
    for one in driving:
        moments += one.toggles[bisect_right(one.toggles, from_s) : bisect_left(one.toggles, until_s)]
    if len(driving) == 1:
        passed = bisect_right(driving[0].toggles, from_s)
        for index, time_s in enumerate(moments, start=passed):
            yield time_s, driving[0].level_at_index(index)
        return
    stronger = max if rule is OverlapRule.ONE_WINS else min
    for time_s in sorted(set(moments)):
        yield time_s, stronger(one.level_at_index(bisect_right(one.toggles, time_s)) for one in driving)


def _is_plain(one: Transmission) -> bool:
    """Its wires are right and its driver is on from the first toggle to the last."""
    return not one.is_swapped and one.drives_from_s <= one.begin_s and one.drives_until_s >= one.toggles[-1]


def _flips(pulses: Sequence[Pulse]) -> list[float]:
    return [edge for pulse in pulses for edge in (pulse.begin_s, pulse.end_s)]


def _levels_seen(wiring: Wiring) -> tuple[int, int, int]:
    """Return the level a receiver takes a driven 0, a driven 1 and an idle pair for."""
    if not wiring.is_swapped:
        return SEEN_RIGHT
    return (1, 0, 0 if wiring.idle_is_driven else 1)
