"""What was put on the pair, as far back as a receiver may still need it, and what each receiver sees of it."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace

from simulated_line.pair.composition import HeldSpan
from simulated_line.pair.line_habits import LineHabits, Window
from simulated_line.pair.noise import Noise
from simulated_line.pair.place import Place
from simulated_line.pair.receiver import Receiver, View
from simulated_line.pair.transmission import Transmission
from simulated_line.timeline import FOREVER_S, Timeline


@dataclass(frozen=True, slots=True)
class _KeptView:
    """A view that holds until the pair changes or the receiver has passed it."""

    version: int
    until_s: float
    view: View


class PairHistory:
    """Bursts and faults of one pair.

    Attributes:
        version: Changes whenever the pair becomes another one for somebody; what was worked out for one version holds
            as long as that is the present one.
    """

    def __init__(self, timeline: Timeline, habits: LineHabits, seed: int) -> None:
        self.version = 0
        self._timeline = timeline
        self._habits = habits
        self._noise = Noise(habits, seed)
        self._transmissions: list[Transmission] = []
        self._held: list[HeldSpan] = []
        self._is_bit_path_forced = False
        self._views: dict[int, _KeptView] = {}
        self._set_held(habits)

    @property
    def habits(self) -> LineHabits:
        """What the line is like now."""
        return self._habits

    @property
    def kept_count(self) -> int:
        """How many bursts are kept."""
        return len(self._transmissions)

    def changed(self) -> None:
        """Say that receivers may see something else from now on."""
        self.version += 1

    def forget_views(self) -> None:
        """Receivers have come and gone."""
        self.changed()
        self._views.clear()

    def change_habits(self, habits: LineHabits) -> None:
        """Make it another line from now on."""
        self._habits = habits
        self.changed()
        self._noise = self._noise.changed(habits)
        self._set_held(habits)

    def set_plant(self, *, is_on: bool) -> None:
        """Say whether the plant that makes noise runs."""
        self.changed()
        self._noise.plant_switched(self._timeline.now_s(), is_on=is_on)

    def set_battery(self, *, is_on: bool) -> None:
        """Say whether the laptop runs on its battery, so that noise through its charger is another."""
        self.changed()
        self._noise.battery_switched(self._timeline.now_s(), is_on=is_on)

    def force_bit_path(self) -> None:
        """Decode everything bit by bit."""
        self._is_bit_path_forced = True

    def add(self, transmission: Transmission, decoded_until_s: float) -> None:
        """Keep a burst that begins now; what ended by `decoded_until_s` is of use to nobody any more."""
        self._transmissions = [one for one in self._transmissions if one.ends_s > decoded_until_s]
        self._transmissions.append(transmission)
        self.changed()

    def is_sending_after(self, time_s: float) -> bool:
        """Tell whether data goes on behind a moment."""
        return any(one.data_end_s > time_s for one in self._transmissions)

    def senders_after(self, time_s: float) -> set[str]:
        """Return who sent data that ended behind a moment, as far as it is kept."""
        return {one.sender for one in self._transmissions if one.data_end_s > time_s}

    def view(self, receiver: Receiver, sender: str) -> View:
        """Return what a receiver sees behind its position, without the bursts of `sender`."""
        kept = self._views.get(id(receiver))
        if kept is not None and kept.version == self.version and receiver.position_s < kept.until_s:
            return kept.view
        view = self._fresh_view(receiver, sender)
        until_s = max((one.ends_s for one in view.transmissions), default=FOREVER_S)
        self._views[id(receiver)] = _KeptView(self.version, until_s if not view.held else FOREVER_S, view)
        return view

    def _fresh_view(self, receiver: Receiver, sender: str) -> View:
        position_s = receiver.position_s
        now_s = self._timeline.now_s()
        visible = [
            part
            for one in self._transmissions
            if one.sender != sender and one.ends_s > position_s
            for part in self._visible_part(one, receiver.place)
        ]
        held = [span for span in self._held if span.window.until_s > position_s and span.window.from_s <= now_s]
        pulses = self._noise.pulses(visible, receiver.place)
        return View(tuple(visible), tuple(held), tuple(pulses), self._habits.overlap, self._is_bit_path_forced)

    def _visible_part(self, one: Transmission, place: Place) -> tuple[Transmission, ...]:
        """Return what of a burst reaches a place: all, its beginning, or nothing."""
        open_place = self._habits.open_place
        if open_place is None or (one.place.position <= open_place.after) == (place.position <= open_place.after):
            return (one,)
        first = bisect_right(open_place.windows, one.begin_s, key=lambda window: window.until_s)
        for window in open_place.windows[first : first + 1]:
            if window.from_s <= one.begin_s:
                return ()
            if window.from_s < one.drives_until_s:
                toggles = tuple(time_s for time_s in one.toggles if time_s < window.from_s)
                return (replace(one, toggles=toggles, drives_until_s=window.from_s, is_sound=False),)
        return (one,)

    def _set_held(self, habits: LineHabits) -> None:
        """Hold the pair by windows, none of them before now; where one begins or ends, receivers look again."""
        self._held = []
        if habits.held is None:
            return
        now_s = self._timeline.now_s()
        for window in habits.held.windows:
            if window.until_s <= now_s:
                continue
            span = Window(max(window.from_s, now_s), window.until_s)
            self._held.append(HeldSpan(habits.held.level, span))
            for edge_s in (span.from_s, span.until_s):
                if now_s < edge_s < FOREVER_S:
                    self._timeline.at(edge_s, self.changed)
