"""The page Switches as the shell knows it."""

from __future__ import annotations

from buswalk.bus.messages import StreamItem
from buswalk.ui.look import Look
from buswalk.ui.pages.page import KeyHelp, Narrow, PageHelp, PageName, PageView, RailNote
from buswalk.ui.pages.switches.presenter import SwitchesPresenter
from buswalk.ui.pages.switches.view import SwitchesView
from buswalk.ui.pages.switches.ways import SwitchesWays

HELP = PageHelp(
    "From an address to levers and dials and back, as the board shows them; "
    "and which mistake explains that a device answers elsewhere.",
    (
        KeyHelp("1 to 8", "flip the lever of that number; on dials 0 to F set the digit"),
        KeyHelp("Left, Right", "go to the next lever or dial"),
        KeyHelp("Space, Up, Down", "flip the lever, turn the dial"),
        KeyHelp("F2, Esc", "describe a board by what one sees of it and keep it; close the description"),
        KeyHelp("F5", "ask both addresses now; reads only"),
        KeyHelp("F7", "back to the device, where one came from: Find or Plan"),
        KeyHelp("Ctrl+P", "print the label of what is shown, or the sheet"),
        KeyHelp("Ctrl+L", "the sheet of labels of all planned devices; Left, Right walk its pages, Esc closes it"),
    ),
)


class SwitchesPage:
    """Presenter and views."""

    def __init__(self, ways: SwitchesWays) -> None:
        self.presenter = SwitchesPresenter(ways)

    @property
    def name(self) -> PageName:
        """Switches."""
        return PageName.SWITCHES

    @property
    def note(self) -> RailNote:
        """No words in the rail."""
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
        return SwitchesView(look, narrow, self.presenter)
