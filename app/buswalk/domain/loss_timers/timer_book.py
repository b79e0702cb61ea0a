"""Collects from the events of a session what is known of loss timers: types planned and found, and points read."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from buswalk.domain.loss_timers.timed_devices import KnownTimers, TimedDevice, ToldBy, in_order
from buswalk.domain.registers.loss_timer import LossTimer, NotTold, TimerSetting, setting_read
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import NoSuchProfile, ProfileLibrary
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.search.events import Found
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import PlanKept, SessionStarted


class TimerBook:
    """Takes kept events in order. The library is read when it is first needed, and anew once more is known."""

    def __init__(self, library: Callable[[], ProfileLibrary]) -> None:
        self._read_library = library
        self._library: ProfileLibrary | None = None
        self.version = 0
        """Counts what was taken that may change what is known."""
        self._planned: dict[int, PlannedDevice] = {}
        self._recognised: dict[int, tuple[str, ...]] = {}
        self._watched: dict[int, str] = {}
        self._described: dict[int, RegisterProfile] = {}
        self._points: dict[tuple[int, str], Point] = {}
        self._words: dict[tuple[int, str], tuple[int, ...]] = {}

    def take(self, event: object) -> None:
        """Take one event."""
        match event:
            case SessionStarted():
                self._planned.clear()
                self._recognised.clear()
                self._watched.clear()
                self._points.clear()
                self._words.clear()
            case PlanKept(devices):
                self.plan(devices)
            case Found(server_address=address, identity=identity):
                self._recognised[address] = identity.profiles or self._recognised.get(address, ())
            case PointsWatched(server_address=address, profile=profile, points=points):
                self._watched[address] = profile
                self._points.update({(address, one.name): one for one in points})
            case SamplesTaken(server_address=address, samples=samples):
                self._words.update({(address, one.point): one.words for one in samples if one.words})
                self.version += 1
                return
            case _:
                return
        self._library = None
        self.version += 1

    def plan(self, devices: Iterable[PlannedDevice]) -> None:
        """Take the planned list in place of an earlier one."""
        self._planned = {one.server_address: one for one in devices}

    def is_described_by(self, server_address: int, profile: RegisterProfile) -> None:
        """Somebody says of which type a device is."""
        self._described[server_address] = profile

    def timers(self, also: Iterable[int] = ()) -> KnownTimers:
        """Return what is known of every device that is planned or was found, and of those that were heard of else."""
        known = {*self._planned, *self._recognised, *self._watched, *self._described}
        addresses = sorted({*known, *also} - {0})
        timed: list[TimedDevice] = []
        not_known: list[int] = []
        for address in addresses:
            device = self._timed(address)
            if device is None:
                not_known.append(address)
            else:
                timed.append(device)
        return KnownTimers(in_order(timed), tuple(not_known))

    def _timed(self, address: int) -> TimedDevice | None:
        """Return the device; of several types that it may be of, as the one that reacts first."""
        name = self._planned[address].name if address in self._planned else ""
        candidates = [
            self._device(address, name or one.title, one, one.loss_timer)
            for one in self._profiles(address)
            if isinstance(one.loss_timer, LossTimer)
        ]
        return min(candidates, key=lambda one: one.seconds, default=None)

    def _device(self, address: int, name: str, profile: RegisterProfile, timer: LossTimer) -> TimedDevice:
        point = next((one for one in profile.points if one.name == timer.point), None)
        words = point.words or point.name if point is not None else ""
        read = self._setting_read(address, timer, point)
        if isinstance(read, NotTold):
            return TimedDevice(address, name, timer, timer.delivered, ToldBy.PROFILE, words)
        return TimedDevice(address, name, timer, read, ToldBy.DEVICE, words)

    def _setting_read(self, address: int, timer: LossTimer, point: Point | None) -> TimerSetting:
        """As it was described when it was read: the list may have been shifted since."""
        key = (address, timer.point)
        words, described = self._words.get(key, ()), self._points.get(key, point)
        if described is None or len(words) != described.value_type.words:
            return NotTold()
        return setting_read(described, words)

    def _profiles(self, address: int) -> list[RegisterProfile]:
        if address in self._described:
            return [self._described[address]]
        planned = self._planned[address].device_type if address in self._planned else ""
        names = dict.fromkeys((self._watched.get(address, ""), *self._recognised.get(address, ()), planned))
        found = [self._named(name) for name in names if name]
        return [one for one in found if one is not None]

    def _named(self, name: str) -> RegisterProfile | None:
        if self._library is None:
            self._library = self._read_library()
        try:
            return self._library.named(name)
        except NoSuchProfile:
            return None
