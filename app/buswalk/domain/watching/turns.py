"""Whose turn it is, and when: absent devices rarely, and no more of the line than was agreed.

Requests with a period come when they are due, the one that is latest in relation to its period first, so that an
overload stretches all periods alike. Those without one fill the rest, longest unasked first; where both wait they take
turns, so that neither kind starves the other.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buswalk.domain.watching.asks import Ask, harmless_ask
from buswalk.domain.watching.plan import Place, WatchedDevice, WatchPlan

ABSENT_AFTER = 3
"""So many silent times in a row, and a device is taken for absent (judgement, no source)."""


@dataclass(frozen=True, slots=True)
class Turn:
    """What to ask next, not before `due_s`."""

    ask: Ask
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


@dataclass(slots=True)
class _AskState:
    ask: Ask
    asked_s: float = -1.0
    is_refused: bool = False


@dataclass(frozen=True, slots=True)
class _Waiting:
    """A request that could be next."""

    state: _AskState
    due_s: float
    period_s: float

    def late_by(self, now_s: float) -> float:
        """In periods, from the last time on; for one without a period in seconds."""
        return (now_s - self.state.asked_s) / (self.period_s or 1.0)


class Turns:
    """Devices at the same settings follow each other, so that these are changed once a round."""

    def __init__(self, plan: WatchPlan) -> None:
        self._plan = plan
        ordered = sorted(plan.devices, key=lambda one: (one.settings.baud_rate, one.settings.framing))
        self._devices = {one.place: DeviceState(one) for one in ordered}
        self._harmless = {one.place: _AskState(harmless_ask(one, plan.period_s)) for one in ordered}
        self._asks: dict[Place, list[_AskState]] = {one.place: [self._harmless[one.place]] for one in ordered}
        self._line_free_s = 0.0
        self._had_period = False

    @property
    def absent(self) -> tuple[int, ...]:
        """Addresses of the devices that are asked rarely now."""
        return tuple(sorted(one.device.server_address for one in self._devices.values() if one.is_absent))

    @property
    def asks(self) -> tuple[Ask, ...]:
        """All requests of devices that are there, in order."""
        present = (place for place, device in self._devices.items() if not device.is_absent)
        return tuple(one.ask for place in present for one in self._asks[place])

    def asks_of(self, device: WatchedDevice) -> tuple[Ask, ...]:
        """Return the requests of one device."""
        return tuple(one.ask for one in self._asks[device.place])

    def put_asks(self, device: WatchedDevice, asks: Iterable[Ask]) -> None:
        """Ask a device these from now on; each is as old as the youngest of the points it tells."""
        old = self._asks[device.place]
        self._asks[device.place] = [_AskState(ask, _asked_s(ask, old), _was_refused(ask, old)) for ask in asks]

    def put_in_place_of(self, ask: Ask, others: Iterable[Ask]) -> None:
        """Ask these instead of a request, as soon as it goes."""
        new = [_AskState(one) for one in others]
        place = ask.device.place
        self._asks[place] = [one for old in self._asks[place] for one in (new if old.ask is ask else [old])]

    def next_turn(self, now_s: float) -> Turn:
        """Return what is due first; of what is due now, by the rule above."""
        waiting = [one for device in self._devices.values() for one in self._waiting(device)]
        first = min(waiting, key=lambda one: (max(one.due_s, now_s), one.state.asked_s))
        due = [one for one in waiting if one.due_s <= now_s]
        if due:
            first = self._fairest(due, now_s)
        device = self._devices[first.state.ask.device.place]
        return Turn(first.state.ask, max(first.due_s, self._line_free_s), device.is_absent)

    def asked(self, ask: Ask, began_s: float, ended_s: float) -> None:
        """Note an exchange; the line stays free for what the share leaves over."""
        self._put(replace(self._state(ask.device), asked_s=began_s))
        # An absent device has a period of its own: many of them take turns with the others, and starve nobody.
        self._had_period = ask.period_s > 0.0 or self._state(ask.device).is_absent
        for one in (*self._asks[ask.device.place], self._harmless[ask.device.place]):
            if one.ask is ask:
                one.asked_s = began_s
        self._line_free_s = began_s + (ended_s - began_s) / self._plan.share

    def was_refused(self, ask: Ask) -> bool:
        """Note that the device refuses this request: it is asked rarely. Return whether that is new."""
        return self._note_refusal(ask, is_refused=True)

    def was_granted(self, ask: Ask) -> bool:
        """Note that it answers this request. Return whether that is new."""
        return self._note_refusal(ask, is_refused=False)

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

    def watched_at(self, place: Place) -> tuple[WatchedDevice, ...]:
        """Return the device of an address at these settings, if it is watched."""
        return (self._devices[place].device,) if place in self._devices else ()

    def _waiting(self, device: DeviceState) -> list[_Waiting]:
        place = device.device.place
        if device.is_absent:
            period_s = max(self._plan.absent_every_s, self._harmless[place].ask.period_s)
            return [_Waiting(self._harmless[place], device.asked_s + period_s, period_s)]
        return [self._waiting_ask(one) for one in self._asks[place]]

    def _waiting_ask(self, state: _AskState) -> _Waiting:
        period_s = state.ask.period_s
        if state.is_refused:
            period_s = max(self._plan.absent_every_s, period_s)
        return _Waiting(state, state.asked_s + period_s if state.asked_s >= 0.0 else 0.0, period_s)

    def _fairest(self, due: list[_Waiting], now_s: float) -> _Waiting:
        with_period = [one for one in due if one.period_s > 0.0]
        without = [one for one in due if one.period_s <= 0.0]
        chosen = without if without and (self._had_period or not with_period) else with_period
        return max(chosen, key=lambda one: one.late_by(now_s))

    def _note_refusal(self, ask: Ask, *, is_refused: bool) -> bool:
        state = next((one for one in self._asks[ask.device.place] if one.ask is ask), None)
        if state is None or state.is_refused is is_refused:
            return False
        state.is_refused = is_refused
        return True

    def _state(self, device: WatchedDevice) -> DeviceState:
        return self._devices[device.place]

    def _put(self, state: DeviceState) -> DeviceState:
        self._devices[state.device.place] = state
        return state


def _asked_s(ask: Ask, old: list[_AskState]) -> float:
    names = {one.name for one in ask.points}
    return max((one.asked_s for one in old if names & {point.name for point in one.ask.points}), default=-1.0)


def _was_refused(ask: Ask, old: list[_AskState]) -> bool:
    return any(one.is_refused and one.ask.points == ask.points for one in old)
