"""The page Trend as the shell knows it."""

from __future__ import annotations

from buswalk.bus.messages import StreamItem
from buswalk.ui.live.feed import Commands
from buswalk.ui.look import Look
from buswalk.ui.pages.cycle_desk import CycleDesk
from buswalk.ui.pages.page import KeyHelp, Narrow, PageHelp, PageName, PageView, RailNote
from buswalk.ui.pages.trend.presenter import TrendPresenter
from buswalk.ui.pages.trend.ways import TrendWays

HELP = PageHelp(
    "Values of watched points over time. A gap is hatched and named, never bridged. After a mark the page tells which "
    "point moved, by how many times its own noise, and how fast: dead time, lag, settling, with limits.",
    (
        KeyHelp("F5", "watch the chosen points, or pause; reads only"),
        KeyHelp("F2", "which points are drawn and watched, and a hand instrument's list beside them; back"),
        KeyHelp("F3", "how long a cycle takes, what limits it, and what it would be if; back"),
        KeyHelp("Left, Right", "cursor by 1 s, with Shift by 10 s; a click puts it there"),
        KeyHelp("Home, End", "cursor to where the window begins; End lets readings follow the newest value"),
        KeyHelp("Up, Down, +, −", "zoom round the cursor; the wheel zooms round the mouse"),
        KeyHelp("Page Up, Page Down", "go back and ahead by half a window; dragging does so too"),
        KeyHelp("Ctrl+M", "mark now, when something is warmed or switched"),
        KeyHelp("Enter", "on a mark: tell what came after it; on a gap: go there"),
        KeyHelp("Ctrl+E", "export what is shown: .png, .csv or .xlsx, by the ending of the file's name"),
    ),
)


class TrendPage:
    """Presenter and views."""

    def __init__(self, commands: Commands, ways: TrendWays) -> None:
        self.presenter = TrendPresenter(commands, ways)
        self.cycle = CycleDesk()

    @property
    def name(self) -> PageName:
        """Trend."""
        return PageName.TREND

    @property
    def note(self) -> RailNote:
        """No words in the rail."""
        return RailNote()

    @property
    def help(self) -> PageHelp:
        """What F1 shows."""
        return HELP

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self.presenter.take(item)
        self.cycle.take(item)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self.presenter.tick(line_time_s)

    def main_action(self) -> None:
        """F5."""
        self.presenter.main_action()

    def view(self, look: Look, narrow: Narrow) -> PageView:
        """Make a view."""
        from buswalk.ui.pages.trend.view import TrendView

        return TrendView(look, narrow, self.presenter, self.cycle)
