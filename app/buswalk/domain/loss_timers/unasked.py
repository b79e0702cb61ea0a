"""Counts against each loss timer for how long nobody has asked its device, and says so when it comes near the end.

It only warns. A request of ours would hold most such timers up, and hide from the plant that its controller is gone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.loss_timers.asked_times import AskedTimes
from buswalk.domain.loss_timers.timed_devices import KnownTimers, TimedDevice

NEAR_SHARE = 0.8
"""Of its timer: from here on it is said that a device is about to react."""
HELD_UP_SHARE = 0.5
"""From here on it is shown that a device has not been asked for a while."""


class Stage(Enum):
    """How far a device is from reacting."""

    ASKED = "asked"
    HELD_UP = "held_up"
    NEAR = "near"
    OVER = "over"
    """It may have reacted: what it really does, only the device tells."""


@dataclass(frozen=True, slots=True)
class Countdown:
    """How one device stands now.

    Attributes:
        unasked_s: For how long nobody was heard to ask it.
        is_unclear: Bytes that make no frame came meanwhile: it may have been asked.
    """

    device: TimedDevice
    unasked_s: float
    is_unclear: bool = False

    @property
    def left_s(self) -> float:
        """Until its timer has run out; 0 once it has."""
        return max(0.0, self.device.seconds - self.unasked_s)

    @property
    def stage(self) -> Stage:
        """How far that is."""
        share = self.unasked_s / self.device.seconds
        if share >= 1.0:
            return Stage.OVER
        if share >= NEAR_SHARE:
            return Stage.NEAR
        return Stage.HELD_UP if share >= HELD_UP_SHARE else Stage.ASKED


@dataclass(frozen=True, slots=True)
class ServerUnasked:
    """Nobody was heard to ask a device for most of its loss timer, or for all of it.

    Attributes:
        reaction: What it does when the timer has run out, as its profile says.
        is_unclear: Bytes that make no frame came meanwhile: it may have been asked.
    """

    server_address: int
    name: str
    reaction: str
    timer_s: float
    unasked_s: float
    stage: Stage
    at_s: float
    is_unclear: bool = False


@dataclass(frozen=True, slots=True)
class ServerAskedAgain:
    """A device that was about to react, or may have, is asked again."""

    server_address: int
    name: str
    after_s: float
    at_s: float


UnaskedEvent: TypeAlias = ServerUnasked | ServerAskedAgain


def countdowns(timers: KnownTimers, asked: AskedTimes, now_s: float) -> tuple[Countdown, ...]:
    """Return how each timed device stands that another client was heard to ask, the next to react first.

    A device that only we ever asked is not meant: its timer began with our request, if at all.
    """
    others = [one for one in timers.running if asked.is_asked_by_others(one.server_address)]
    return left_alone(KnownTimers(tuple(others)), asked, now_s)


def left_alone(timers: KnownTimers, asked: AskedTimes, now_s: float) -> tuple[Countdown, ...]:
    """Return how each timed device stands that anybody asked, we among them, the next to react first."""
    told = [(one, asked.last_asked_s(one.server_address)) for one in timers.running]
    counted = [
        Countdown(one, max(0.0, now_s - at_s), asked.may_have_been_asked(one.server_address))
        for one, at_s in told
        if at_s is not None
    ]
    return tuple(sorted(counted, key=lambda one: (one.left_s, one.device.seconds)))


class TimerWatch:
    """Says each change that matters, once."""

    def __init__(self, asked: AskedTimes) -> None:
        self._asked = asked
        self._said: dict[int, ServerUnasked] = {}

    def look(self, timers: KnownTimers, now_s: float) -> Iterator[UnaskedEvent]:
        """Yield what is to be said now; to be asked a few times a second."""
        for one in countdowns(timers, self._asked, now_s):
            address, before = one.device.server_address, self._said.get(one.device.server_address)
            if one.stage in (Stage.NEAR, Stage.OVER):
                if before is None or (before.stage, before.is_unclear) != (one.stage, one.is_unclear):
                    self._said[address] = _unasked(one, now_s)
                    yield self._said[address]
            elif before is not None:
                del self._said[address]
                asked_s = now_s - one.unasked_s
                last_before_s = before.at_s - before.unasked_s
                yield ServerAskedAgain(address, one.device.name, asked_s - last_before_s, asked_s)


def _unasked(one: Countdown, now_s: float) -> ServerUnasked:
    device = one.device
    return ServerUnasked(
        device.server_address,
        device.name,
        device.timer.reaction,
        device.seconds,
        one.unasked_s,
        one.stage,
        now_s,
        one.is_unclear,
    )
