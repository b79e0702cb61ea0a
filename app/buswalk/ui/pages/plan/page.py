"""The page Plan as the shell knows it."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.messages import StreamItem
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.ui.live.feed import Commands
from buswalk.ui.look import Look
from buswalk.ui.pages.page import KeyHelp, Narrow, PageHelp, PageName, PageView, RailNote
from buswalk.ui.pages.plan.list_files import PlanFiles
from buswalk.ui.pages.plan.presenter import PlanPresenter
from buswalk.ui.pages.plan.view import PlanView

HELP = PageHelp(
    "The planned list, in the order of the cable: which device hangs where, at which address and setting. "
    "It is kept in the record at every change, and compared with what answers.",
    (
        KeyHelp("F5", "ask the planned addresses at the planned settings; reads only"),
        KeyHelp("F2, Enter", "edit the cell; Tab goes on to the next one, Esc leaves it as it was"),
        KeyHelp("Insert, Delete", "new row behind this one, delete this one"),
        KeyHelp("Alt+Up, Alt+Down", "move the row along the cable; or write another number as its place"),
        KeyHelp("Ctrl+V", "paste rows of a spreadsheet behind this one"),
        KeyHelp("Ctrl+Z, Ctrl+Y", "take back an edit, do it again"),
        KeyHelp("F4", "to the registers of the device in this row, and back"),
        KeyHelp("F7", "to the switches of the device in this row, and back"),
        KeyHelp("Ctrl+E, Ctrl+C", "export the list, copy the row"),
    ),
)


class PlanPage:
    """Presenter and views."""

    def __init__(
        self,
        commands: Commands,
        files: PlanFiles,
        show_switches: Callable[[PlannedDevice], None] = lambda _device: None,
        show_registers: Callable[[int], None] = lambda _address: None,
    ) -> None:
        self.presenter = PlanPresenter(commands, files, show_switches, show_registers)

    @property
    def name(self) -> PageName:
        """Plan."""
        return PageName.PLAN

    @property
    def note(self) -> RailNote:
        """How many of the planned devices answer."""
        return self.presenter.note

    @property
    def help(self) -> PageHelp:
        """What F1 shows."""
        return HELP

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self.presenter.take(item)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self.presenter.tick(line_time_s)

    def main_action(self) -> None:
        """F5."""
        self.presenter.main_action()

    def view(self, look: Look, narrow: Narrow) -> PageView:
        """Make a view."""
        return PlanView(look, narrow, self.presenter)
