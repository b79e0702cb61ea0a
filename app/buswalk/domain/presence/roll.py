"""The roll that is called: how each device stands, how long to wait for it, and in which order a round asks.

Those that answered go first, those that missed a round next, quiet ones last. So a silence seldom comes right before
a device that answers: some servers take the request after one to an absent neighbour for its answer, and lose it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.watching.plan import WatchedDevice

QUIET_AFTER = 2
"""So many rounds without a reply, and a device counts as quiet."""
SLOW_WAIT_S = 0.25
SLOW_GAP_S = 0.1
"""Who needs a longer wait or pause is asked in every second round: the others are not to wait for it."""
STANDING_GAP_S = 0.05
"""Between all requests: some devices want that much silence (practice: up to 50 ms is common), and do not say so."""
WAIT_FACTOR = 1.25
WAIT_BESIDE_S = 0.02
LEAST_WAIT_S = 0.06
LONGEST_WAIT_S = 2.0


class Standing(Enum):
    """How a device stands."""

    NOT_KNOWN = "not_known"
    ANSWERS = "answers"
    MISSED = "missed"
    """Silent in the last round; that may be a lost frame."""
    QUIET = "quiet"
    NEVER_HEARD = "never_heard"
    """Silent from the beginning: asked now and then, one a round."""


@dataclass(frozen=True, slots=True)
class RollEntry:
    """What is known of one device.

    Attributes:
        place: In the plan, which is the order of the cable.
        asked_s: When it was asked last.
        longest_s: Longest turnaround seen; 0 while none was.
        silent: Rounds in a row without a reply; `silent_since_s` is when the first of its requests was sent.
        learnt_gap_s: Silence that it has shown to need before a request; what the plan says of that is believed
            once it was silent.
        is_shadowed: Each of these silences came right after another device's, so it may have lost the request.
    """

    place: int
    device: WatchedDevice
    standing: Standing = Standing.NOT_KNOWN
    asked_s: float = 0.0
    longest_s: float = 0.0
    silent: int = 0
    silent_since_s: float = 0.0
    learnt_gap_s: float = 0.0
    is_shadowed: bool = False

    @property
    def wait_s(self) -> float:
        """How long its reply is waited for: what was learnt of it, else what the plan says."""
        if not self.longest_s:
            return self.device.wait_s
        return min(LONGEST_WAIT_S, max(LEAST_WAIT_S, self.longest_s * WAIT_FACTOR + WAIT_BESIDE_S))

    @property
    def gap_s(self) -> float:
        """Silence before it is asked."""
        return max(STANDING_GAP_S, self.learnt_gap_s)

    @property
    def is_slow(self) -> bool:
        """Whether it is asked in every second round."""
        return self.longest_s > 0.0 and (self.wait_s > SLOW_WAIT_S or self.gap_s > SLOW_GAP_S)


class Roll:
    """All devices of a presence watch."""

    def __init__(self, devices: tuple[WatchedDevice, ...]) -> None:
        self._entries = [RollEntry(place, one) for place, one in enumerate(devices)]
        self._next_never = 0

    @property
    def entries(self) -> tuple[RollEntry, ...]:
        """In the order of the cable."""
        return tuple(self._entries)

    def entry(self, place: int) -> RollEntry:
        """Return the entry of a place."""
        return self._entries[place]

    def addresses(self, *standings: Standing) -> tuple[int, ...]:
        """Return the addresses of those that stand so, in the order of the cable."""
        return tuple(one.device.server_address for one in self._entries if one.standing in standings)

    @property
    def slow(self) -> tuple[int, ...]:
        """Addresses of those that answer, but slowly."""
        known = (Standing.ANSWERS, Standing.MISSED)
        return tuple(one.device.server_address for one in self._entries if one.is_slow and one.standing in known)

    def round(self, number: int) -> list[int]:
        """Return the places that round asks, in its order; at one setting after the other as far as that goes."""
        answering = self._due(Standing.ANSWERS, number)
        missed = self._due(Standing.MISSED, number)[::-1]
        return [*answering, *missed, *self._due(Standing.QUIET, number), *self._one_never_heard()]

    def _due(self, standing: Standing, number: int) -> list[int]:
        """Return who stands so and is due; of the slow ones every second is, in turn, if its last was answered."""
        places: list[int] = []
        slow_before = 0
        for one in self._entries:
            is_due = not one.is_slow or standing is Standing.MISSED or (slow_before + number) % 2 == 0
            slow_before += one.is_slow
            if one.standing is standing and is_due:
                places.append(one.place)
        return sorted(places, key=lambda place: (_settings_key(self._entries[place].device.settings), place))

    def _one_never_heard(self) -> list[int]:
        places = [one.place for one in self._entries if one.standing is Standing.NEVER_HEARD]
        if not places:
            return []
        self._next_never += 1
        return [places[self._next_never % len(places)]]

    def take_base(self) -> None:
        """Who has not been heard by now was silent from the beginning."""
        for place, one in enumerate(self._entries):
            if one.standing is Standing.NOT_KNOWN:
                self._entries[place] = replace(one, standing=Standing.NEVER_HEARD, silent_since_s=one.asked_s)

    # What came

    def asked(self, place: int, at_s: float) -> None:
        """A request to it was sent at that time."""
        self._entries[place] = replace(self._entries[place], asked_s=at_s)

    def took(self, place: int, turnaround_s: float) -> None:
        """Its reply took so long."""
        entry = self._entries[place]
        self._entries[place] = replace(entry, longest_s=max(entry.longest_s, turnaround_s))

    def needs_gap(self, place: int, gap_s: float) -> None:
        """It answers only after so much silence."""
        self._entries[place] = replace(self._entries[place], learnt_gap_s=gap_s)

    def ask_as(self, place: int, device: WatchedDevice) -> None:
        """It is asked so from now on: with another request, or at other settings."""
        self._entries[place] = replace(self._entries[place], device=device)

    def heard(self, place: int) -> RollEntry:
        """It answered; return how it stood before."""
        before = self._entries[place]
        self._entries[place] = replace(before, standing=Standing.ANSWERS, silent=0, is_shadowed=False)
        return before

    def was_silent(self, place: int, *, is_shadowed: bool) -> RollEntry:
        """It did not answer; return how it stands now."""
        before = self._entries[place]
        needs_more = before.standing is not Standing.NOT_KNOWN and before.device.minimum_gap_s > STANDING_GAP_S
        now = replace(
            before,
            learnt_gap_s=max(before.learnt_gap_s, before.device.minimum_gap_s if needs_more else 0.0),
            standing=_after_silence(before),
            silent=before.silent + 1,
            silent_since_s=before.silent_since_s if before.silent else before.asked_s,
            is_shadowed=is_shadowed and (before.is_shadowed or not before.silent),
        )
        self._entries[place] = now
        return now

    def place_of(self, server_address: int, settings: SerialSettings) -> tuple[int, ...]:
        """Return the place of an address at these settings; none where it is not on the roll."""
        wanted = (server_address, settings)
        return tuple(one.place for one in self._entries if (one.device.server_address, one.device.settings) == wanted)


def _after_silence(before: RollEntry) -> Standing:
    match before.standing:
        case Standing.NOT_KNOWN | Standing.NEVER_HEARD:
            return Standing.NEVER_HEARD
        case Standing.QUIET:
            return Standing.QUIET
        case Standing.ANSWERS | Standing.MISSED:
            return Standing.QUIET if before.silent + 1 >= QUIET_AFTER else Standing.MISSED


def _settings_key(settings: SerialSettings) -> tuple[int, str]:
    return settings.baud_rate, settings.framing
