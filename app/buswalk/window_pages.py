"""The pages of the window, and the ways from each to files, to the record and to the other pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from buswalk.board_parts import read_boards, save_own_board
from buswalk.bus.messages import Batch
from buswalk.chosen_files import (
    choose_fault_file,
    choose_list,
    choose_points,
    choose_record,
    print_labels,
    read_points_sheet,
    save_list,
    save_points,
    save_text,
)
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.fault_exporting import FaultExports, FaultsToWrite
from buswalk.plan_in_use import PlanInUse
from buswalk.profile_parts import read_profiles, save_own_profile
from buswalk.record_in_use import Analyses, RecordInUse
from buswalk.trend_parts import TrendDesk
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.faults.page import FaultsPage
from buswalk.ui.pages.faults.ways import FaultWays, FileKind
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
from buswalk.ui.timer_desk import TimerDesk


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

    def move(self, address: int) -> None:
        """Show the guided job that moves the device at an address of Find; 0 leaves the choice."""
        if self._registers is not None:
            self._registers.presenter.show_move(address)
        self.show(PageName.FIND, 0)

    def back(self, address: int) -> None:
        """Go back to the device."""
        if self._find is not None and self._came_from is PageName.FIND and address:
            self._find.show_device(address)
        self._actions.go_to(self._came_from)

    def to_trend(self) -> None:
        """Show what is watched over time."""
        self._actions.go_to(PageName.TREND)


class WindowPages:
    """Makes the pages and hands each its ways.

    Attributes:
        record: The record that is being written.
        plan: The planned list beside what answers.
    """

    def __init__(
        self,
        analysis: Analyses,
        sounds: Sounds,
        data_folder: str = "",
        are_imported: Callable[[], bool] = lambda: True,
    ) -> None:
        self._analysis = analysis
        self._sounds = sounds
        self._data_folder = data_folder
        self._exports = FaultExports()
        self.record = RecordInUse(analysis)
        self.plan = PlanInUse(data_folder, are_imported)
        self._trend = TrendDesk(analysis, data_folder)
        self._timers = TimerDesk(partial(read_profiles, data_folder), are_imported)
        self._came_from = PageName.FIND

    def take(self, batch: Batch) -> None:
        """Look at a batch for the record in use, the plan, what answers, and files that are done."""
        self._trend.take(batch)
        self.record.take(batch)
        self.plan.take(batch)
        self._exports.deliver()
        for item in batch.items:
            self._timers.take(item)

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
            show(self.plan.switched(address), PageName.FIND)

        def show_planned(device: PlannedDevice) -> None:
            show(self.plan.switched_of(device), PageName.PLAN)

        self._timers.tell_left_alone = actions.left_alone
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
        faults = FaultsPage(commands, FaultWays(self._analysis.ask, choose_record, self._export_faults, self._timers))
        planned_registers = partial(to_registers.show, PageName.PLAN)
        plan = PlanPage(commands, PlanFiles(choose_list, save_list), show_planned, planned_registers)
        registers = self._registers_page(
            commands, to_registers, start_search, lambda address: show(self.plan.switched(address), PageName.REGISTERS)
        )
        to_registers.lead_between(registers, find)
        trend = TrendPage(commands, self._trend.ways(commands, actions.mark, self._timers.beside_words))
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
                self.record.older,
                show_found,
                self.plan.explained,
                partial(to_registers.show, PageName.FIND),
                self.plan.mistaken,
                self._timers,
                to_registers.move,
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
                read_sheet=read_points_sheet,
                save_points=save_points,
                search=search,
                to_trend=ways.to_trend,
                to_switches=to_switches,
                to_device=ways.back,
                timers=self._timers,
            ),
        )

    def _export_faults(self, path: str, kind: FileKind, wanted: FaultFilter, take: Callable[[str], None]) -> str:
        """Let the user choose a file and begin to write it; return its name, empty for a changed mind."""
        file = choose_fault_file(kind)
        if file:
            self._exports.start(FaultsToWrite(path, wanted, file), take)
        return Path(file).name if file else ""
