"""The pair of wires with everything on it: who drives when, who hears what. Implements `station.Pair`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from simulated_line.pair.composition import Wiring
from simulated_line.pair.history import PairHistory
from simulated_line.pair.line_habits import LineHabits
from simulated_line.pair.own_receiver import OwnReceiver
from simulated_line.pair.place import Place
from simulated_line.pair.receiver import Receiver
from simulated_line.pair.station_group import GroupKey, StationGroup
from simulated_line.pair.transmission import Transmission
from simulated_line.pair.uart import Recovery
from simulated_line.pair.waveform import burst_duration_s, burst_toggles, combined_toggles
from simulated_line.station import Burst, Station
from simulated_line.timeline import FOREVER_S, Entry, Timeline

FLOATING = "nobody"
"""Sender of pulses that a floating pair makes of itself."""
EDGE_ERROR_REFERENCE_BAUD = 9600
EDGE_ERROR_REFERENCE_M = 100.0
SPOILT_SHARE_OF_BIT = 0.8
KEPT_BEFORE_DECODING = 2
"""A request and its reply; the more are kept, the more there is to compose at each look."""


@dataclass(slots=True)
class Attached:
    """A station at its place, and how it is joined to the pair now."""

    station: Station
    place: Place
    recovery: Recovery
    strength: float
    is_swapped: bool = False
    is_plugged: bool = True


class Segment:
    """One pair. Stations attached to it hear each other; an adapter opens a receiver of its own."""

    def __init__(self, timeline: Timeline, habits: LineHabits, seed: int) -> None:
        self._timeline = timeline
        self._seed = seed
        self._history = PairHistory(timeline, habits, seed)
        self._stations: dict[str, Attached] = {}
        self._groups: list[StationGroup] = []
        self._own_receivers: list[OwnReceiver] = []
        self._count = 0

    # What stations use

    def now_s(self) -> float:
        """Present line time."""
        return self._timeline.now_s()

    def at(self, time_s: float, action: Callable[[], None]) -> Entry:
        """Have `action` called when line time reaches `time_s`."""
        return self._timeline.at(time_s, action)

    def send(self, station: Station, burst: Burst) -> None:
        """Let a station put a burst on the pair now; without supply or plug nothing happens."""
        attached = self._stations.get(station.name)
        if attached is None or not attached.is_plugged or not station.is_powered:
            return
        delay_s = self._glitch_before(station.name, burst)
        if delay_s:
            self.at(self.now_s() + delay_s, lambda: self._begin(attached, burst))
        else:
            self._begin(attached, burst)

    def settings_changed(self, station: Station) -> None:
        """Put the station's receiver among those of its new settings."""
        self._regroup(station.name)

    # What builds and disturbs the line

    def attach(
        self,
        station: Station,
        place: Place,
        recovery: Recovery = Recovery.NEXT_EDGE,
        strength: float = 1.0,
    ) -> None:
        """Hang a station on the pair.

        Raises:
            ValueError: One of that name hangs there already.
        """
        if station.name in self._stations:
            raise ValueError(f"two stations on the line are called {station.name}")
        self._stations[station.name] = Attached(station, place, recovery, strength)
        self._regroup(station.name)

    def attach_adapter(self, station: Station, place: Place, recovery: Recovery) -> OwnReceiver:
        """Hang an adapter on the pair; it is read character by character and never called."""
        self._stations[station.name] = Attached(station, place, recovery, 1.0)
        wiring = Wiring(is_swapped=False, idle_is_driven=self.habits.biased)
        receiver = Receiver(station.receiver_settings, recovery, wiring, place, position_s=self.now_s())
        own = OwnReceiver(station.name, receiver, self._history)
        self._own_receivers.append(own)
        return own

    @property
    def habits(self) -> LineHabits:
        """What the line is like now."""
        return self._history.habits

    def change_habits(self, habits: LineHabits) -> None:
        """Make it another line from now on; what has been heard stands."""
        self._decode_what_ended()
        self._history.change_habits(habits)
        for group in self._groups:
            group.receiver.wiring = replace(group.receiver.wiring, idle_is_driven=habits.biased)
            group.receiver.forget()
        for own in self._own_receivers:
            own.receiver.wiring = replace(own.receiver.wiring, idle_is_driven=habits.biased)
            own.forget()

    def swap(self, name: str) -> bool:
        """Exchange the two wires at a station; return whether they are exchanged now."""
        attached = self._stations[name]
        attached.is_swapped = not attached.is_swapped
        self._regroup(name)
        return attached.is_swapped

    def plug(self, name: str, *, is_in: bool) -> None:
        """Join a station to the pair or take it off."""
        self._stations[name].is_plugged = is_in
        self._regroup(name)

    def plugged_behind(self, name: str) -> tuple[str, ...]:
        """Return the stations on the pair that hang farther along the cable than this one, the nearest first."""
        here = self._stations[name].place.position
        behind = [
            (attached.place.position, other)
            for other, attached in self._stations.items()
            if attached.place.position > here and attached.is_plugged
        ]
        return tuple(other for _, other in sorted(behind))

    def set_plant(self, *, is_on: bool) -> None:
        """Say whether the plant that makes noise runs."""
        self._history.set_plant(is_on=is_on)

    def set_battery(self, *, is_on: bool) -> None:
        """Say whether the laptop runs on its battery: noise through its charger is less then."""
        self._history.set_battery(is_on=is_on)

    def force_bit_path(self) -> None:
        """Decode everything bit by bit: for tests that hold the fast path against it."""
        self._history.force_bit_path()

    # Sending

    def _begin(self, attached: Attached, burst: Burst) -> None:
        begin_s = self.now_s()
        data_end_s = begin_s + burst_duration_s(len(burst.data), burst.settings, burst.pauses)
        toggles = tuple([begin_s + one for one in burst_toggles(burst.data, burst.settings, burst.pauses)])
        spoilt = self._edge_errors(attached, burst, toggles)
        self._count += 1
        transmission = Transmission(
            order=self._count,
            sender=attached.station.name,
            place=attached.place,
            burst=burst,
            begin_s=begin_s,
            data_end_s=data_end_s,
            drives_from_s=begin_s + burst.enable_late_s,
            drives_until_s=data_end_s + burst.release_late_s,
            toggles=combined_toggles((toggles, spoilt)) if spoilt else toggles,
            strength=attached.strength,
            is_swapped=attached.is_swapped,
            is_sound=not spoilt and not attached.is_swapped and not burst.enable_late_s and burst.release_late_s >= 0,
        )
        self._add(transmission)
        self._glitch_after(transmission)

    def _add(self, transmission: Transmission) -> None:
        for group in self._groups:
            group.call_off()
        if self._history.kept_count > KEPT_BEFORE_DECODING:
            self._decode_what_ended()
        receivers = [*(one.receiver for one in self._groups), *(one.receiver for one in self._own_receivers)]
        decoded_until_s = min((one.position_s for one in receivers), default=self.now_s())
        self._history.add(transmission, decoded_until_s)
        for own in self._own_receivers:
            own.sent(transmission)
        self._timeline.at(transmission.data_end_s, self._settle)

    def _decode_what_ended(self) -> None:
        """Take what has been heard so far; on a pair that is never silent nobody else does, and all would be kept."""
        now_s = self.now_s()
        for own in self._own_receivers:
            own.decode(now_s)
        for group in self._groups:
            group.decode(self._history, now_s)

    def _settle(self) -> None:
        """All data has passed: know when each receiver will call its frame ended, unless more comes."""
        now_s = self.now_s()
        if self._history.is_sending_after(now_s):
            return
        for own in self._own_receivers:
            own.decode(now_s)
        for group in self._groups:
            self._await_silence(group)

    def _await_silence(self, group: StationGroup) -> None:
        last_s = group.receiver.last_end_s(group.view(self._history))
        if last_s == FOREVER_S:
            if not group.runs:
                group.decode(self._history, self.now_s())
                return
            last_s = group.last_end_s
        silence_s = inter_frame_delay_s(group.receiver.settings)
        group.appointment = self._timeline.at(last_s + silence_s, lambda: self._deliver(group))

    def _deliver(self, group: StationGroup) -> None:
        group.decode(self._history, self.now_s())
        frames, senders = group.heard()
        for heard in frames:
            for name in group.members:
                attached = self._stations[name]
                if name not in senders and attached.is_plugged and attached.station.is_powered:
                    attached.station.heard(heard)

    # Grouping

    def _regroup(self, name: str) -> None:
        """Move one station to the group of receivers that see the same as it does."""
        self._history.forget_views()
        for group in self._groups:
            if name in group.members:
                group.members.remove(name)
        self._groups = [group for group in self._groups if group.members]
        attached = self._stations[name]
        for own in self._own_receivers:
            if own.sender == name:
                own.decode(self.now_s())
                own.receiver.wiring = Wiring(attached.is_swapped, self.habits.biased)
                own.forget()
                return
        if not attached.is_plugged:
            return
        key = self._group_key(attached)
        for group in self._groups:
            if group.key == key:
                group.members.append(name)
                return
        receiver = Receiver(
            attached.station.receiver_settings,
            attached.recovery,
            Wiring(attached.is_swapped, self.habits.biased),
            attached.place,
            position_s=self.now_s(),
        )
        self._groups.append(StationGroup(key, receiver, [name]))

    def _group_key(self, attached: Attached) -> GroupKey:
        habits = self.habits
        place_matters = habits.open_place is not None or habits.weak_place is not None or habits.growth_per_100_m > 0
        return GroupKey(
            attached.station.receiver_settings,
            attached.recovery,
            attached.is_swapped,
            attached.place if place_matters else None,
        )

    # Disturbing

    def _draw(self, what: str, name: str) -> Random:
        return Random(f"{self._seed}:{what}:{name}:{self._count}")

    def _glitch_before(self, name: str, burst: Burst) -> float:
        """Put a low pulse on the pair before a burst; return by how much the burst comes later."""
        glitches = self.habits.glitches
        if not glitches.before or (glitches.stations and name not in glitches.stations):
            return 0.0
        draw = self._draw("glitch before", name)
        if draw.random() >= glitches.before:
            return 0.0
        low_s = draw.uniform(*glitches.low_bits) * burst.settings.bit_s
        lead_s = draw.uniform(*glitches.lead_characters) * burst.settings.character_s
        self._pulse(self.now_s(), low_s, burst.settings)
        return low_s + lead_s

    def _glitch_after(self, transmission: Transmission) -> None:
        glitches = self.habits.glitches
        if not glitches.after or (glitches.stations and transmission.sender not in glitches.stations):
            return
        draw = self._draw("glitch after", transmission.sender)
        if draw.random() >= glitches.after:
            return
        settings = transmission.burst.settings
        low_s = draw.uniform(*glitches.low_bits) * settings.bit_s
        lead_s = draw.uniform(*glitches.lead_characters) * settings.character_s
        begin_s = transmission.drives_until_s + lead_s
        self.at(begin_s, lambda: self._pulse(begin_s, low_s, settings))

    def _pulse(self, begin_s: float, low_s: float, settings: SerialSettings) -> None:
        """A floating pair dips to space for a moment."""
        self._count += 1
        end_s = begin_s + low_s
        burst = Burst(b"\x00", settings)
        self._add(
            Transmission(
                self._count,
                FLOATING,
                Place(),
                burst,
                begin_s,
                end_s,
                begin_s,
                end_s,
                (begin_s, end_s),
                0.0,
                is_swapped=False,
                is_sound=False,
            )
        )

    def _edge_errors(self, attached: Attached, burst: Burst, toggles: tuple[float, ...]) -> list[float]:
        """Return flips behind edges that a reflection has spoilt, for speed and length of this burst."""
        rate = self.habits.edge_error_rate
        if not rate:
            return []
        length_m = max(attached.place.distance_m, EDGE_ERROR_REFERENCE_M)
        rate *= (burst.settings.baud_rate / EDGE_ERROR_REFERENCE_BAUD) * (length_m / EDGE_ERROR_REFERENCE_M)
        draw = self._draw("edges", attached.station.name)
        spoilt_s = SPOILT_SHARE_OF_BIT * burst.settings.bit_s
        return [edge for time_s in toggles if draw.random() < min(rate, 0.5) for edge in (time_s, time_s + spoilt_s)]
