"""The page Faults as the shell knows it."""

from __future__ import annotations

from buswalk.bus.messages import StreamItem
from buswalk.ui.live.feed import Commands
from buswalk.ui.look import Look
from buswalk.ui.pages.faults.presenter import FaultsPresenter
from buswalk.ui.pages.faults.view import FaultsView
from buswalk.ui.pages.faults.ways import FaultWays
from buswalk.ui.pages.page import KeyHelp, Narrow, PageHelp, PageName, PageView, RailNote

HELP = PageHelp(
    "What was not clean in a record: how often, when, and each exchange byte by byte. A watch asks each device in turn "
    "and reads only; what other jobs ask is counted too.",
    (
        KeyHelp("F5", "watch the line, pause, go on; back to this visit where an older record is shown"),
        KeyHelp("F8, Shift+F8", "next, previous exchange that was not clean; from every page"),
        KeyHelp("Up, Down", "in the table: the device whose figures stand at the right; Enter shows its latest fault"),
        KeyHelp("Left, Right", "in the timeline: along one device; Up and Down change the device"),
        KeyHelp("Ctrl+M", "mark this moment; the list of marks ends, changes and compares them"),
        KeyHelp("Ctrl+Shift+C", "copy the bytes of the exchange"),
        KeyHelp("Ctrl+P, Ctrl+E", "print, export what the filter lets through"),
    ),
)


class FaultsPage:
    """Presenter and views."""

    def __init__(self, commands: Commands, ways: FaultWays) -> None:
        self.presenter = FaultsPresenter(commands, ways)

    @property
    def name(self) -> PageName:
        """Faults."""
        return PageName.FAULTS

    @property
    def note(self) -> RailNote:
        """How many exchanges were not clean."""
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

    def walk_abnormal(self, step: int) -> None:
        """F8 and Shift+F8, from any page."""
        self.presenter.walk_abnormal(step)

    def show_exchange(self, number: int) -> None:
        """Enter on the strip."""
        self.presenter.show_exchange(number)

    def view(self, look: Look, narrow: Narrow) -> PageView:
        """Make a view."""
        return FaultsView(look, narrow, self.presenter)
