"""The page Line as the shell knows it."""

from __future__ import annotations

from buswalk.bus.messages import StreamItem
from buswalk.ui.live.feed import Commands
from buswalk.ui.look import Look
from buswalk.ui.pages.line.presenter import LinePresenter, LineWays
from buswalk.ui.pages.line.view import LineView
from buswalk.ui.pages.page import KeyHelp, Narrow, PageHelp, PageName, PageView, RailNote

HELP = PageHelp(
    "The line itself: which port, what is heard on it, what the adapter can tell, what came of the last 60 s.",
    (
        KeyHelp("Ctrl+O", "choose and open a port; in the list Enter opens, F5 too"),
        KeyHelp("F5", "listen for 10 s on a real port, search on a demo line"),
        KeyHelp("Left, Right", "walk along the cable; Enter shows the plan"),
        KeyHelp("Ctrl+C", "copy the row of a table"),
    ),
)


class LinePage:
    """Presenter and views."""

    def __init__(self, commands: Commands, ways: LineWays) -> None:
        self.presenter = LinePresenter(commands, ways)

    @property
    def name(self) -> PageName:
        """Line."""
        return PageName.LINE

    @property
    def note(self) -> RailNote:
        """None: the head line says it all."""
        return RailNote()

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

    def choose_port(self) -> None:
        """Ctrl+O."""
        self.presenter.choose_port()

    def view(self, look: Look, narrow: Narrow) -> PageView:
        """Make a view."""
        return LineView(look, narrow, self.presenter)
