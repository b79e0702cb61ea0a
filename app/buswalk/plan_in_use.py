"""The planned list beside what answers: whose switches explain which address, for the pages that ask."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from buswalk.board_parts import read_boards
from buswalk.bus.messages import Batch, Kept
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.search.events import Found
from buswalk.domain.search.prior import Mistaken
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.mistaken_addresses import mistaken_addresses
from buswalk.domain.switches.whose_switches import WhoseFinder, WhoseSwitches
from buswalk.domain.visit.session_events import PlanKept, SessionStarted
from buswalk.ui.pages.find.explained_stranger import ExplainedStranger
from buswalk.ui.pages.switches.ways import SwitchedDevice


class PlanInUse:
    """Knows what is planned and what was found; boards are read once `are_imported` says that they can be."""

    def __init__(self, data_folder: str, are_imported: Callable[[], bool]) -> None:
        self._data_folder = data_folder
        self._are_imported = are_imported
        self._planned: tuple[PlannedDevice, ...] = ()
        self._found: dict[int, SerialSettings] = {}
        self._mistakes: tuple[tuple[PlannedDevice, ...], Mistaken] = ((), ())
        self._explained_of: object = None
        self._stranger: ExplainedStranger | None = None

    def take(self, batch: Batch) -> None:
        """Look at a batch for the plan, and for what answers."""
        for item in batch.items:
            match item:
                case Kept(event=PlanKept(devices)):
                    self._planned = devices
                case Kept(event=SessionStarted()):
                    self._found.clear()
                case Kept(event=Found(server_address=address, settings=settings)):
                    self._found[address] = settings
                case Kept(event=PlacesLooked(asked=asked, answered=(now,))):
                    for one in asked:
                        self._found.pop(one.server_address, None)
                    self._found[now.server_address] = now.settings
                case _:
                    pass

    def switched(self, address: int) -> SwitchedDevice | None:
        """Return whose switches are to be shown for an address, or for the one that they explain most of."""
        finder = self._finder()
        chosen = address or finder.most_telling()
        if not chosen:
            return None
        return _switched_by(finder.of(chosen))

    def switched_of(self, device: PlannedDevice) -> SwitchedDevice:
        """Return a row of the plan with what answers elsewhere in its place; the row need not be in a record yet."""
        others = (one for one in self._planned if one.server_address != device.server_address)
        finder = WhoseFinder((*others, device), self._found, read_boards(self._data_folder))
        return _switched_by(finder.of(device.server_address))

    def explained(self) -> ExplainedStranger | None:
        """Return the stranger that a silent device's board explains best; worked out anew where plan or found change.

        A board that is described meanwhile counts from the next change on.
        """
        known = (self._planned, tuple(self._found.items()))
        if known != self._explained_of and self._are_imported():
            self._explained_of = known
            self._stranger = _stranger_by(self._finder())
        return self._stranger

    def mistaken(self, planned: Iterable[PlannedDevice]) -> Mistaken:
        """Return which addresses single mistakes in setting switches make of planned ones; nothing before imports."""
        devices = tuple(planned)
        if devices != self._mistakes[0] and self._are_imported():
            self._mistakes = devices, mistaken_addresses(devices, read_boards(self._data_folder))
        return self._mistakes[1] if devices == self._mistakes[0] else ()

    def _finder(self) -> WhoseFinder:
        return WhoseFinder(self._planned, self._found, read_boards(self._data_folder))


def _switched_by(whose: WhoseSwitches) -> SwitchedDevice:
    return SwitchedDevice(whose.name, whose.intended, whose.found, whose.board, whose.where)


def _stranger_by(finder: WhoseFinder) -> ExplainedStranger | None:
    whose = finder.of(finder.most_telling())
    if whose.intended is None or whose.found is None or whose.found == whose.intended or not whose.board:
        return None
    return ExplainedStranger(whose.name, whose.intended, whose.found)
