"""Who may have made bytes that nobody waited for: how likely its place is, and how likely it is to answer so late."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.first_byte import first_bytes_heard
from buswalk.domain.search.probe import Probe, probe_cost_s

TURNAROUNDS: tuple[tuple[float, float], ...] = ((0.060, 0.85), (0.200, 0.10), (0.600, 0.04), (1.500, 0.01))
"""Up to so many seconds, and the share of devices that begin within, evenly spread over it (judgement, no source)."""
READABLE_FACTOR = 0.1
"""Its own settings would have shown a whole answer, unless we were sending while it came."""
NAMED_FACTOR = 30.0
"""Its address is among those bytes, at its own speed: address bytes arrive intact in most framings. The same where the
pair was quiet before, and the first byte is what its reply would begin with in the settings it was heard in."""
OTHER_BEGIN_FACTOR = 0.05
"""The pair was quiet before, and its reply would begin with another byte."""
QUIET_CHARACTERS = 1.2
"""Within a reply no edge is missing for longer: after so many of its characters of quiet another one has begun."""
LEAST_LENGTH_CHARACTERS = 3.8
"""From the first edge of a reply to the last lie at least four of its five characters, less what times may be off."""
TOO_SHORT_FACTOR = 0.02
LEAST_REPLY_BYTES = 5
MOST_REPLY_BYTES = 7.5
TOO_LONG_FACTOR = 0.05
TOO_FEW_FACTOR = 0.3
"""Our own sending may have hidden the rest."""
ASKED_BEFORE_FACTOR = 0.3
"""It may know the second function only, or its first answer met our sending."""
ENOUGH_SHARE = 0.998
"""Of all suspicion: the rest is asked after the line has been still."""
ROOM_FACTOR = 1.3
ROOM_S = 0.040
"""A device asked again is given that much more than it took: turnarounds vary."""


@dataclass(frozen=True, slots=True)
class Energy:
    """Bytes that no request explains: when the first came, in line time, in which settings, what they are.

    Attributes:
        quiet_before_s: So long at least the pair was quiet before, and we were not sending: nothing in front is hidden.
        quiet_after_s: The same behind.
        lasted_at_most_s: From the first edge to the last byte, as far as the times of arrivals tell.
    """

    at_s: float
    heard_in: SerialSettings
    data: bytes
    quiet_before_s: float = 0.0
    quiet_after_s: float = 0.0
    lasted_at_most_s: float = float("inf")

    def begins_with_a_reply_in(self, sent_in: SerialSettings) -> bool:
        """Tell whether, if it is a reply in these settings, its first byte is heard first."""
        return self.quiet_before_s >= QUIET_CHARACTERS * sent_in.character_s

    def ends_with_a_reply_in(self, sent_in: SerialSettings) -> bool:
        """Tell whether, if it is a reply in these settings, nothing of it came behind."""
        return self.quiet_after_s >= QUIET_CHARACTERS * sent_in.character_s

    def speed_factor(self, sent_in: SerialSettings) -> float:
        """Return how well so many bytes go with a reply in these settings.

        A quicker reply is over too soon to make many. A slower one has at least 5 bytes, and makes more than it has.
        """
        is_whole = self.begins_with_a_reply_in(sent_in) and self.ends_with_a_reply_in(sent_in)
        if is_whole and self.lasted_at_most_s < LEAST_LENGTH_CHARACTERS * sent_in.character_s:
            return TOO_SHORT_FACTOR
        lasted_s = (len(self.data) - 1) * self.heard_in.character_s
        if lasted_s > MOST_REPLY_BYTES * sent_in.character_s:
            return TOO_LONG_FACTOR
        if sent_in.baud_rate < self.heard_in.baud_rate and len(self.data) < LEAST_REPLY_BYTES:
            return TOO_FEW_FACTOR
        return 1.0


@dataclass(frozen=True, slots=True)
class Suspect:
    """A request that may have been answered late.

    Attributes:
        likeliness: Of its place, next to those of others.
        ended_s: When the request had left, in line time.
    """

    probe: Probe
    likeliness: float
    ended_s: float
    energy: Energy

    @property
    def suspicion(self) -> float:
        """How likely it is the one, next to others."""
        factor = 1.0
        if self.energy.heard_in in self.probe.reaches():
            factor *= READABLE_FACTOR
        factor *= self._named_factor() * self.energy.speed_factor(self.probe.settings)
        return self.likeliness * turnaround_density(self.late_s) * factor

    def _named_factor(self) -> float:
        """Return what the bytes tell of the address that begins a reply."""
        energy, probe = self.energy, self.probe
        if energy.data and energy.begins_with_a_reply_in(probe.settings):
            begins = [
                first_bytes_heard(one, probe.server_address, probe.function, energy.heard_in) for one in probe.reaches()
            ]
            if all(begins):
                return NAMED_FACTOR if any(energy.data[0] in one for one in begins) else OTHER_BEGIN_FACTOR
        is_named = energy.heard_in.baud_rate == probe.settings.baud_rate and probe.server_address in energy.data
        return NAMED_FACTOR if is_named else 1.0

    @property
    def late_s(self) -> float:
        """From its end to the bytes that came."""
        return self.energy.at_s - self.ended_s

    @property
    def wait_s(self) -> float:
        """How long to wait when it is asked again."""
        return wait_again_s(self.late_s)

    @property
    def cost_s(self) -> float:
        """What asking it again takes if it is not the one."""
        return probe_cost_s(self.probe.settings, self.wait_s)


def wait_again_s(late_s: float) -> float:
    """Return how long to wait for a device that may have taken so long before."""
    return ROOM_FACTOR * late_s + ROOM_S


def turnaround_density(seconds: float) -> float:
    """Return the share of devices that begin to answer around there, a second."""
    begin_s = 0.0
    for end_s, share in TURNAROUNDS:
        if begin_s <= seconds < end_s:
            return share / (end_s - begin_s)
        begin_s = end_s
    return 0.0


def worth_asking(suspects: Iterable[Suspect]) -> list[Suspect]:
    """Return those that together carry nearly all suspicion, the one first whose asking gains most a second."""
    able = _less_sure_after_others([one for one in suspects if one.suspicion > 0.0])
    missing = ENOUGH_SHARE * sum(one.suspicion for one in able)
    chosen: list[Suspect] = []
    for one in sorted(able, key=lambda one: one.suspicion / one.cost_s, reverse=True):
        if missing <= 0.0:
            break
        chosen.append(one)
        missing -= one.suspicion
    return chosen


def _less_sure_after_others(suspects: list[Suspect]) -> list[Suspect]:
    """Return them, less likely where the same place was asked before: that answer would have come first."""
    weighed: list[Suspect] = []
    for one in suspects:
        before = (
            other
            for other in suspects
            if other.probe.server_address == one.probe.server_address and other.ended_s < one.ended_s
        )
        is_second = any(set(other.probe.reaches()) & set(one.probe.reaches()) for other in before)
        weighed.append(replace(one, likeliness=one.likeliness * ASKED_BEFORE_FACTOR) if is_second else one)
    return weighed
