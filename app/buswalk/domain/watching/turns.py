"""Whose turn it is, and when: each device in turn, the absent ones rarely, and no more of the line than was agreed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan

ABSENT_AFTER = 3
"""So many silent times in a row, and a device is taken for absent (judgement, no source)."""


@dataclass(frozen=True, slots=True)
class Turn:
    """Whom to ask next, not before `due_s`."""

    device: WatchedDevice
    due_s: float
    is_absent: bool


@dataclass(frozen=True, slots=True)
class DeviceState:
    """What is known of one device.

    Attributes:
        asked_s: When it was asked last; minus one before the first time.
        silent: Times in a row without any byte from it.
        silent_since_s: When the first of them was sent.
    """

    device: WatchedDevice
    asked_s: float = -1.0
    silent: int = 0
    silent_since_s: float = 0.0

    @property
    def is_absent(self) -> bool:
        """Whether it is asked rarely."""
        return self.silent >= ABSENT_AFTER


class Turns:
    """Devices at the same settings follow each other, so that these are changed once a round."""

    def __init__(self, plan: WatchPlan) -> None:
        self._plan = plan
        ordered = sorted(plan.devices, key=lambda one: (one.settings.baud_rate, one.settings.framing))
        self._states = [DeviceState(one) for one in ordered]
        self._line_free_s = 0.0

    @property
    def absent(self) -> tuple[int, ...]:
        """Addresses of the devices that are asked rarely now."""
        return tuple(sorted(one.device.server_address for one in self._states if one.is_absent))

    def next_turn(self, now_s: float) -> Turn:
        """Return who is due first; of those that are due now, the one that waits longest."""
        state = min(self._states, key=lambda one: (max(self._due_s(one), now_s), one.asked_s))
        return Turn(state.device, max(self._due_s(state), self._line_free_s), state.is_absent)

    def asked(self, device: WatchedDevice, began_s: float, ended_s: float) -> None:
        """Note an exchange; the line stays free for what the share leaves over."""
        self._put(replace(self._state(device), asked_s=began_s))
        self._line_free_s = began_s + (ended_s - began_s) / self._plan.share

    def was_silent(self, device: WatchedDevice, began_s: float) -> DeviceState:
        """Note that not one byte came; return what is known now."""
        state = self._state(device)
        since_s = state.silent_since_s if state.silent else began_s
        return self._put(replace(state, silent=state.silent + 1, silent_since_s=since_s))

    def was_heard(self, device: WatchedDevice) -> DeviceState:
        """Note that something came; return what was known before."""
        before = self._state(device)
        self._put(replace(before, silent=0))
        return before

    def watched_at(self, server_address: int, settings: SerialSettings) -> tuple[WatchedDevice, ...]:
        """Return the device of an address at these settings, if it is watched."""
        devices = (one.device for one in self._states)
        return tuple(one for one in devices if (one.server_address, one.settings) == (server_address, settings))

    def _due_s(self, state: DeviceState) -> float:
        if state.asked_s < 0.0:
            return 0.0
        period_s = max(self._plan.absent_every_s, self._plan.period_s) if state.is_absent else self._plan.period_s
        return state.asked_s + period_s

    def _state(self, device: WatchedDevice) -> DeviceState:
        return next(one for one in self._states if one.device == device)

    def _put(self, state: DeviceState) -> DeviceState:
        at = next(at for at, one in enumerate(self._states) if one.device == state.device)
        self._states[at] = state
        return state
