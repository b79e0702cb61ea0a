"""The pages of the window, and what each is handed of files, record and the other pages."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Protocol

from buswalk.board_parts import read_boards, save_own_board, write_sheet
from buswalk.bus.messages import Batch, Kept, RecordTold, Skipped
from buswalk.bus.queries import Calculation, Query, ReadEvents, ReadLastExchanges
from buswalk.cli.parts import Failed
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.listening.events import Heard
from buswalk.domain.record_reader import LARGEST_PAGE, ExchangePage, RecordedEvent, RecordedExchange
from buswalk.domain.search.events import Found
from buswalk.domain.search.prior import Mistaken
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.mistaken_addresses import mistaken_addresses
from buswalk.domain.switches.picture import BodyTone
from buswalk.domain.switches.whose_switches import WhoseFinder, WhoseSwitches
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.domain.visit.session_events import PlanKept, SessionStarted
from buswalk.fault_exporting import FaultExports, FaultsToWrite
from buswalk.profile_parts import read_profiles, save_own_profile
from buswalk.storage.planned_list_files import PATTERNS, ListFile, UnreadableList, csv_text, read_list_file
from buswalk.storage.point_list_files import read_point_list_file, write_point_list_file
from buswalk.storage.saved_text import save_lines
from buswalk.trend_parts import TrendDesk
from buswalk.ui.file_choice import choose_to_open, choose_to_save
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.faults.page import FaultsPage
from buswalk.ui.pages.faults.ways import FaultWays, FileKind
from buswalk.ui.pages.find.exchange_shelf import OlderRead, OlderWanted
from buswalk.ui.pages.find.explained_stranger import ExplainedStranger
from buswalk.ui.pages.find.find_page import FindPage, FindParts
from buswalk.ui.pages.line.page import LinePage
from buswalk.ui.pages.line.presenter import LineWays
from buswalk.ui.pages.page import Page, PageName, ShellActions
from buswalk.ui.pages.plan.list_files import PlanFiles
from buswalk.ui.pages.plan.page import PlanPage
from buswalk.ui.pages.registers.page import RegistersPage
from buswalk.ui.pages.registers.ways import RegistersWays
from buswalk.ui.pages.switches.page import SwitchesPage
from buswalk.ui.pages.switches.ways import SwitchedDevice, SwitchesWays
from buswalk.ui.pages.trend.page import TrendPage
from buswalk.ui.sounds import Sounds

ENDINGS = (".csv", ".jsonl", ".pdf")
LISTS = f"Lists ({' '.join(PATTERNS)})"
POINT_LISTS = "Values parted by commas (*.csv);;Spreadsheets (*.xlsx)"
VALUES = "Values parted by commas (*.csv)"
PAGES = "Pages (*.pdf)"
TABLES = "Values parted by commas (*.csv);;JSON lines (*.jsonl);;Pages (*.pdf)"
RECORDS = "Records of visits (*.buswalk.sqlite)"
NO_RECORD = "nothing is recorded, so older exchanges cannot be read"


class AsksRecords(Protocol):
    """Asks a record, as the analysis link does."""

    def ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        """Hand the answer to `take`, or one sentence to `refused`, at once or later."""

    def calculate(
        self, calculation: Calculation, take: Callable[[object], None], refused: Callable[[str], None]
    ) -> None:
        """Work something out, and hand the result over likewise."""


NOT_READ_BACK = ExchangeDone | StrayArrival | Heard
"""Traffic that the window was too slow for: strip and counts do not run backwards, details read the record anyway."""


class _ToRegisters:
    """Leads with F4 from a device on Find or Plan to its registers, and back to where one came from."""

    def __init__(self, actions: ShellActions) -> None:
        self._actions = actions
        self._came_from = PageName.FIND
        self._registers: RegistersPage | None = None
        self._find: FindPage | None = None

    def lead_between(self, registers: RegistersPage, find: FindPage) -> None:
        """Take the pages, once they are made."""
        self._registers, self._find = registers, find

    def show(self, came_from: PageName, address: int) -> None:
        """Show the registers of an address; 0 leaves the choice."""
        self._came_from = came_from
        if self._registers is not None and address:
            self._registers.presenter.show_device(address)
        self._actions.go_to(PageName.REGISTERS)

    def back(self, address: int) -> None:
        """Go back to the device."""
        if self._find is not None and self._came_from is PageName.FIND and address:
            self._find.show_device(address)
        self._actions.go_to(self._came_from)

    def to_trend(self) -> None:
        """Show what is watched over time."""
        self._actions.go_to(PageName.TREND)


class WindowPages:
    """Makes the pages; knows which record is being written, to read it for them. Boards wait for their imports."""

    def __init__(
        self,
        analysis: AsksRecords,
        sounds: Sounds,
        data_folder: str = "",
        are_imported: Callable[[], bool] = lambda: True,
    ) -> None:
        self._are_imported = are_imported
        self._mistakes: tuple[tuple[PlannedDevice, ...], Mistaken] = ((), ())
        self._analysis = analysis
        self._sounds = sounds
        self._data_folder = data_folder
        self._exports = FaultExports()
        self._record_path = ""
        self._trend = TrendDesk(analysis, data_folder)
        self._planned: tuple[PlannedDevice, ...] = ()
        self._found: dict[int, SerialSettings] = {}
        self._came_from = PageName.FIND
        self._explained_of: object = None
        self._stranger: ExplainedStranger | None = None

    def take(self, batch: Batch) -> None:
        """Look at a batch for the record in use, the plan, and what answers."""
        self._trend.take(batch)
        self._exports.deliver()
        for item in batch.items:
            match item:
                case RecordTold(state):
                    self._record_path = state.path
                case Kept(event=PlanKept(devices)):
                    self._planned = devices
                case Kept(event=SessionStarted()):
                    self._found.clear()
                case Kept(event=Found(server_address=address, settings=settings)):
                    self._found[address] = settings
                case _:
                    pass

    def make(self, commands: Commands, actions: ShellActions, _chosen: Sounds) -> Sequence[Page]:
        """Make all pages, in the order of their digits. Ping has a switch of its own for its tones."""

        def show(device: SwitchedDevice | None, came_from: PageName) -> None:
            self._came_from = came_from
            if device is not None:
                switches.presenter.show_device(device)
            actions.go_to(PageName.SWITCHES)

        def to_device(device: SwitchedDevice) -> None:
            address = device.found or device.intended
            if address and self._came_from is PageName.FIND:
                find.show_device(address)
            actions.go_to(self._came_from)

        def start_search() -> None:
            actions.go_to(PageName.FIND)
            find.begin_search()

        def ask(addresses: tuple[int, ...]) -> None:
            find.search.type_addresses(", ".join(map(str, addresses)))
            start_search()

        def show_found(address: int) -> None:
            show(self._switched(address), PageName.FIND)

        def show_planned(device: PlannedDevice) -> None:
            show(self._switched_of(device), PageName.PLAN)

        to_registers = _ToRegisters(actions)
        find = self._find_page(commands, actions, show_found, to_registers)
        switches = SwitchesPage(
            SwitchesWays(
                read_boards=partial(read_boards, self._data_folder),
                save_board=partial(save_own_board, data_folder=self._data_folder),
                print_labels=print_labels,
                ask=ask,
                to_device=to_device,
            )
        )
        line = LinePage(commands, LineWays(start_search, lambda: actions.go_to(PageName.PLAN)))
        faults = FaultsPage(commands, FaultWays(self._analysis.ask, choose_record, self._export_faults))
        planned_registers = partial(to_registers.show, PageName.PLAN)
        plan = PlanPage(commands, PlanFiles(choose_list, save_list), show_planned, planned_registers)
        registers = self._registers_page(
            commands, to_registers, start_search, lambda address: show(self._switched(address), PageName.REGISTERS)
        )
        to_registers.lead_between(registers, find)
        trend = TrendPage(commands, self._trend.ways(commands, actions.mark))
        return (line, find, switches, registers, trend, faults, plan)

    def _find_page(
        self, commands: Commands, actions: ShellActions, show_found: Callable[[int], None], to_registers: _ToRegisters
    ) -> FindPage:
        return FindPage(
            FindParts(
                commands,
                actions,
                self._sounds,
                save_text,
                self._older,
                show_found,
                self.explained,
                partial(to_registers.show, PageName.FIND),
                self._mistaken,
            )
        )

    def _registers_page(
        self, commands: Commands, ways: _ToRegisters, search: Callable[[], None], to_switches: Callable[[int], None]
    ) -> RegistersPage:
        return RegistersPage(
            commands,
            RegistersWays(
                library=partial(read_profiles, self._data_folder),
                save_profile=partial(save_own_profile, data_folder=self._data_folder),
                choose_points=choose_points,
                save_points=save_points,
                search=search,
                to_trend=ways.to_trend,
                to_switches=to_switches,
                to_device=ways.back,
            ),
        )

    def _switched(self, address: int) -> SwitchedDevice | None:
        """Return whose switches are to be shown for an address, or for the one that they explain most of."""
        finder = self._finder()
        chosen = address or finder.most_telling()
        if not chosen:
            return None
        return _switched_by(finder.of(chosen))

    def _finder(self) -> WhoseFinder:
        return WhoseFinder(self._planned, self._found, read_boards(self._data_folder))

    def explained(self) -> ExplainedStranger | None:
        """Return the stranger that a silent device's board explains best; worked out anew where plan or found change.

        A board that is described meanwhile counts from the next change on.
        """
        known = (self._planned, tuple(self._found.items()))
        if known != self._explained_of and self._are_imported():
            self._explained_of = known
            self._stranger = _stranger_by(self._finder())
        return self._stranger

    def _mistaken(self, planned: Iterable[PlannedDevice]) -> Mistaken:
        devices = tuple(planned)
        if devices != self._mistakes[0] and self._are_imported():
            self._mistakes = devices, mistaken_addresses(devices, read_boards(self._data_folder))
        return self._mistakes[1] if devices == self._mistakes[0] else ()

    def _switched_of(self, device: PlannedDevice) -> SwitchedDevice:
        """Return a row of the plan with what answers elsewhere in its place; the row need not be in a record yet."""
        others = (one for one in self._planned if one.server_address != device.server_address)
        finder = WhoseFinder((*others, device), self._found, read_boards(self._data_folder))
        return _switched_by(finder.of(device.server_address))

    def _export_faults(self, path: str, kind: FileKind, wanted: FaultFilter, take: Callable[[str], None]) -> str:
        """Let the user choose a file and begin to write it; return its name, empty for a changed mind."""
        kinds = PAGES if kind is FileKind.PAGES else TABLES
        file = choose_to_save("Faults", f"faults{'.pdf' if kind is FileKind.PAGES else '.csv'}", kinds)
        if file:
            self._exports.start(FaultsToWrite(path, wanted, with_ending(file, kind)), take)
        return Path(file).name if file else ""

    def read_back(self, batch: Batch, offer: Callable[[Batch], None]) -> None:
        """Read out of the record what a slow window was not sent, so that no finding is missed."""
        for item in batch.items:
            if isinstance(item, Skipped) and self._record_path and item.from_row:
                query = ReadEvents(item.from_row, min(item.count, LARGEST_PAGE))
                take = partial(_offer_events, replace(batch, items=()), offer)
                self._analysis.ask(self._record_path, query, take, lambda _sentence: None)

    def _older(self, wanted: OlderWanted, take: Callable[[OlderRead], None]) -> None:
        """Read older exchanges of one server out of the record."""
        if not self._record_path:
            take(OlderRead((), NO_RECORD))
            return
        page = ExchangePage(
            limit=wanted.at_most, server_address=wanted.server_address, before_number=wanted.before_number
        )

        def answered(value: object) -> None:
            rows = value if isinstance(value, tuple) else ()
            take(OlderRead(tuple(one.exchange for one in rows if isinstance(one, RecordedExchange))))

        query = ReadLastExchanges(page)
        self._analysis.ask(self._record_path, query, answered, lambda sentence: take(OlderRead((), sentence)))


def _switched_by(whose: WhoseSwitches) -> SwitchedDevice:
    return SwitchedDevice(whose.name, whose.intended, whose.found, whose.board, whose.where)


def _stranger_by(finder: WhoseFinder) -> ExplainedStranger | None:
    whose = finder.of(finder.most_telling())
    if whose.intended is None or whose.found is None or whose.found == whose.intended or not whose.board:
        return None
    return ExplainedStranger(whose.name, whose.intended, whose.found)


def _offer_events(batch: Batch, offer: Callable[[Batch], None], value: object) -> None:
    events = [one for one in value if isinstance(one, RecordedEvent)] if isinstance(value, tuple) else []
    kept = tuple(Kept(one.row, one.event, one.at_s) for one in events if not isinstance(one.event, NOT_READ_BACK))
    if kept:
        offer(replace(batch, items=kept))


def save_text(suggested: str, text: str) -> str:
    """Let the user choose a file for a text; return one sentence of what came of it, empty for a changed mind."""
    path = choose_to_save("Save as", suggested, VALUES)
    if not path:
        return ""
    try:
        save_lines(Path(path), text.splitlines())
    except RecordProblem as problem:
        return problem.sentence
    return f"saved as {Path(path).name}"


def print_labels(labels: Sequence[Label], turn: Turn, tone: BodyTone) -> str:
    """Let the user choose a file for labels; return one sentence of what came of it, empty for a changed mind."""
    path = choose_to_save("Labels", "labels.pdf", PAGES)
    if not path:
        return ""
    try:
        pages = write_sheet(Path(path), labels, turn, tone)
    except Failed as reason:
        return reason.sentence
    return f"saved as {Path(path).name}, {pages} page{'' if pages == 1 else 's'}"


def with_ending(file: str, kind: FileKind) -> str:
    """Return the name of a file with an ending that says how it is written; the usual one where it has none."""
    if Path(file).suffix.lower() in ENDINGS:
        return file
    return f"{file}{'.pdf' if kind is FileKind.PAGES else '.csv'}"


def choose_record() -> str:
    """Let the user choose a record to look at; return its path, empty for a changed mind."""
    return choose_to_open("Open a record", RECORDS)


def choose_list() -> ChosenList | None:
    """Let the user choose a planned list and read it."""
    return _chosen_list(read_list_file)


def choose_points() -> ChosenList | None:
    """Let the user choose a point list and read it."""
    return _chosen_list(read_point_list_file)


def _chosen_list(read_file: Callable[[Path], ListFile]) -> ChosenList | None:
    path = choose_to_open("Bring in a list", LISTS)
    if not path:
        return None
    try:
        read = read_file(Path(path))
    except UnreadableList as problem:
        return ChosenList(Path(path).name, problem=problem.sentence)
    return ChosenList(read.source, read.rows)


def save_list(suggested: str, rows: Sequence[Sequence[str]]) -> str:
    """Let the user choose where to put rows."""
    return save_text(suggested, csv_text(rows))


def save_points(suggested: str, rows: Iterable[Sequence[str]]) -> str:
    """Let the user choose a new file for points; return one sentence of what came of it, empty for a changed mind."""
    file = choose_to_save("Export list", suggested, POINT_LISTS)
    return write_points(file, rows) if file else ""


def write_points(file: str, rows: Iterable[Sequence[str]]) -> str:
    """Write points to a new file, as its ending says; return one sentence of what came of it."""
    path = Path(file) if Path(file).suffix else Path(f"{file}.csv")
    try:
        write_point_list_file(path, rows)
    except RecordProblem as problem:
        return problem.sentence
    return f"saved as {path.name}"
