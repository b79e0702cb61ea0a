"""All noise of one line: which pulses reach which receiver, given who drives, plant and battery."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from simulated_line.pair.disturbance import DrawnPulses, Pulse, even_noise, noise_bursts
from simulated_line.pair.line_habits import LineHabits
from simulated_line.pair.place import Place
from simulated_line.pair.transmission import Transmission

LONGEST_CABLE_M = 1200.0


class SwitchedState:
    """Something that is off until it is switched, and what it was at any moment."""

    def __init__(self) -> None:
        self._changes: list[tuple[float, bool]] = []

    def switch(self, time_s: float, *, is_on: bool) -> None:
        """Note a change, in order of time."""
        self._changes.append((time_s, is_on))

    def is_on_at(self, time_s: float) -> bool:
        """Tell what it was."""
        at = bisect_right(self._changes, time_s, key=lambda change: change[0])
        return at > 0 and self._changes[at - 1][1]


class Noise:
    """The noise sources that a line's habits ask for."""

    def __init__(self, habits: LineHabits, seed: int) -> None:
        self._habits = habits
        self._seed = seed
        self._plant = SwitchedState()
        self._battery = SwitchedState()
        pulse_s = 1.0 / habits.reference_baud
        self._most = 1.0 + habits.growth_per_100_m * LONGEST_CABLE_M / 100.0
        per_second = habits.bit_error_rate * habits.reference_baud
        self._even = even_noise(seed, "noise", per_second * self._most, pulse_s) if per_second else None
        self._bursts = noise_bursts(seed, "bursts", habits.bursts, pulse_s) if habits.bursts else None
        weak = habits.weak_place
        self._weak: DrawnPulses | None = None
        if weak is not None and weak.bit_error_rate:
            self._weak = even_noise(seed, "weak place", weak.bit_error_rate * habits.reference_baud, pulse_s)

    def changed(self, habits: LineHabits) -> Noise:
        """Return the noise of other habits, with plant and battery as they are."""
        noise = Noise(habits, self._seed)
        noise._plant = self._plant
        noise._battery = self._battery
        return noise

    def plant_switched(self, time_s: float, *, is_on: bool) -> None:
        """Note when the plant goes on or off."""
        self._plant.switch(time_s, is_on=is_on)

    def battery_switched(self, time_s: float, *, is_on: bool) -> None:
        """Note when the laptop begins or ends to run on its battery."""
        self._battery.switch(time_s, is_on=is_on)

    def pulses(self, visible: Sequence[Transmission], place: Place) -> list[Pulse]:
        """Return the pulses that hit what is driven, in order of time."""
        if not visible or (self._even is None and self._bursts is None and self._weak is None):
            return []
        found: list[Pulse] = []
        for begin_s, end_s in _driven_spans(visible):
            found += [_clipped(pulse, end_s) for pulse in self._within(begin_s, end_s, visible, place)]
        return sorted(found, key=lambda pulse: pulse.begin_s)

    def _within(self, begin_s: float, end_s: float, visible: Sequence[Transmission], place: Place) -> list[Pulse]:
        """Return the pulses that begin in a span during which somebody drives the pair."""
        found: list[Pulse] = []
        if self._even is not None:
            reach = self._reach(visible, place) / self._most
            even = self._even.pulses(begin_s, end_s)
            found += [pulse for pulse in even if pulse.strength < reach * self._share_left(pulse)]
        if self._bursts is not None:
            bursts = self._bursts.pulses(begin_s, end_s)
            found += [one for one in bursts if self._plant_makes(one) and one.strength < self._share_left(one)]
        if self._weak is not None and self._passes_weak_place(visible, place):
            found += self._weak.pulses(begin_s, end_s)
        return found

    def _reach(self, visible: Sequence[Transmission], place: Place) -> float:
        growth = self._habits.growth_per_100_m
        if not growth:
            return 1.0
        farthest_m = max(abs(one.place.distance_m - place.distance_m) for one in visible)
        return 1.0 + growth * farthest_m / 100.0

    def _plant_makes(self, pulse: Pulse) -> bool:
        assert self._habits.bursts is not None
        return not self._habits.bursts.with_plant or self._plant.is_on_at(pulse.begin_s)

    def _share_left(self, pulse: Pulse) -> float:
        """Return how much of the noise there is: on battery perhaps less; a bad core does not care."""
        return self._habits.noise_on_battery if self._battery.is_on_at(pulse.begin_s) else 1.0

    def _passes_weak_place(self, visible: Sequence[Transmission], place: Place) -> bool:
        assert self._habits.weak_place is not None
        after = self._habits.weak_place.after
        return any((one.place.position <= after) != (place.position <= after) for one in visible)


def _driven_spans(visible: Sequence[Transmission]) -> list[tuple[float, float]]:
    """Return when somebody sends, spans that touch joined; noise on an idle pair is a matter of glitches."""
    spans: list[tuple[float, float]] = []
    for one in sorted(visible, key=lambda one: one.begin_s):
        if spans and one.begin_s <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(spans[-1][1], one.data_end_s))
        else:
            spans.append((one.begin_s, one.data_end_s))
    return spans


def _clipped(pulse: Pulse, end_s: float) -> Pulse:
    return pulse if pulse.end_s <= end_s else Pulse(pulse.begin_s, end_s, pulse.strength)
