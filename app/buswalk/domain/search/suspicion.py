"""Who may have made bytes that nobody waited for: how likely its place is, and how likely it is to answer so late."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.probe import Probe, probe_cost_s

TURNAROUNDS: tuple[tuple[float, float], ...] = ((0.060, 0.85), (0.200, 0.10), (0.600, 0.04), (1.500, 0.01))
"""Up to so many seconds, and the share of devices that begin within, evenly spread over it (judgement, no source)."""
READABLE_FACTOR = 0.1
"""Its own settings would have shown a whole answer, unless we were sending while it came."""
NAMED_FACTOR = 30.0
"""Its address is among those bytes, at its own speed: address bytes arrive intact in most framings."""
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
    """Bytes that no request explains: when the first came, in line time, in which settings, what they are."""

    at_s: float
    heard_in: SerialSettings
    data: bytes

    def speed_factor(self, sent_in: SerialSettings) -> float:
        """Return how well so many bytes go with a reply in these settings.

        A quicker reply is over too soon to make many. A slower one has at least 5 bytes, and makes more than it has.
        """
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
        if self.energy.heard_in.baud_rate == self.probe.settings.baud_rate:
            factor *= NAMED_FACTOR if self.probe.server_address in self.energy.data else 1.0
        factor *= self.energy.speed_factor(self.probe.settings)
        return self.likeliness * turnaround_density(self.late_s) * factor

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
