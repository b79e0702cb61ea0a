"""Which devices can be chosen: those that answer, those that are planned, and all at once for a broadcast."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS
from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.readdressing.found_moved import all_moved
from buswalk.domain.registers.writing.visit_writes import Change
from buswalk.domain.search.events import Found, Identity
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import PlanKept, PortOpened, SessionStarted
from buswalk.ui.pages.registers.registers_state import Chooser

NO_IDENTITY = Identity()


@dataclass(frozen=True, slots=True)
class KnownDevice:
    """One device that can be chosen; 0 for all at once.

    Attributes:
        found: As the search saw it; None where it is only planned.
        is_left_changed: It is known only by what an earlier session wrote to it and did not put back.
    """

    server_address: int
    settings: SerialSettings
    name: str = ""
    found: Found | None = None
    is_left_changed: bool = False

    @property
    def words(self) -> str:
        """As the list says it."""
        if self.server_address == BROADCAST_ADDRESS:
            return "0, all devices at once"
        name = f", {self.name}" if self.name else ""
        if self.found is not None:
            return f"{self.server_address}{name}"
        return f"{self.server_address}{name} ({'written to before' if self.is_left_changed else 'planned'})"

    @property
    def identity(self) -> Identity:
        """What it says of itself."""
        return self.found.identity if self.found is not None else NO_IDENTITY


class KnownDevices:
    """Follows the stream."""

    def __init__(self) -> None:
        self._found: dict[int, Found] = {}
        self._planned: dict[int, PlannedDevice] = {}
        self._left_changed: dict[int, SerialSettings] = {}
        self._port_settings: SerialSettings | None = None
        self._all: tuple[KnownDevice, ...] = ()

    def take(self, event: object) -> bool:
        """Take an event; tell whether the list may be another now."""
        match event:
            case SessionStarted():
                self._found.clear()
                self._left_changed.clear()
                self._port_settings = None
            case PortOpened(settings=settings):
                self._port_settings = settings
            case Found() as found:
                self._found[found.server_address] = found
            case PlacesLooked():
                self._found = {one.server_address: one for one in all_moved(self._found.values(), event)}
            case PlanKept(devices):
                self._planned = {one.server_address: one for one in devices}
            case _:
                return False
        self._all = self._listed()
        return True

    def tell_written(self, changes: Sequence[Change]) -> None:
        """Take what earlier sessions changed and did not put back: these devices can be chosen without a search."""
        written = (one.intended for one in changes if not one.intended.is_broadcast)
        self._left_changed = {one.server_address: one.settings for one in written}
        self._all = self._listed()

    @property
    def all(self) -> tuple[KnownDevice, ...]:
        """In order of address; all at once comes last."""
        return self._all

    def chooser(self, server_address: int) -> Chooser:
        """Return the list to choose from, with the one that is shown."""
        words = tuple(one.words for one in self._all)
        return Chooser(words, next((i for i, one in enumerate(self._all) if one.server_address == server_address), 0))

    def at(self, server_address: int) -> KnownDevice | None:
        """Return the device of an address."""
        return next((one for one in self._all if one.server_address == server_address), None)

    def _listed(self) -> tuple[KnownDevice, ...]:
        devices = []
        for address in sorted({*self._found, *self._planned, *self._left_changed}):
            found, planned = self._found.get(address), self._planned.get(address)
            settings = found.settings if found else planned.settings if planned else None
            settings = settings or self._left_changed.get(address) or self._port_settings
            if settings is not None:
                name = planned.name if planned else ""
                devices.append(KnownDevice(address, settings, name, found, is_left_changed=not (found or planned)))
        if devices:
            answering = next((one for one in devices if one.found), devices[0])
            devices.append(KnownDevice(BROADCAST_ADDRESS, answering.settings))
        return tuple(devices)
