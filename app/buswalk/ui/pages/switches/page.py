"""The page Switches as the shell knows it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.visit.session_events import PlanKept
from buswalk.ui.look import Look
from buswalk.ui.pages.page import KeyHelp, Narrow, PageHelp, PageName, PageView, RailNote
from buswalk.ui.pages.switches.ways import SwitchesWays

if TYPE_CHECKING:
    from buswalk.ui.pages.switches.presenter import SwitchesPresenter

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
    """Presenter and views, made when the page is first wanted: boards are read then, not while the window opens."""

    def __init__(self, ways: SwitchesWays) -> None:
        self._ways = ways
        self._presenter: SwitchesPresenter | None = None
        self._plan: StreamItem | None = None

    @property
    def presenter(self) -> SwitchesPresenter:
        """What decides; it has been told the plan."""
        if self._presenter is None:
            from buswalk.ui.pages.switches.presenter import SwitchesPresenter

            self._presenter = SwitchesPresenter(self._ways)
            if self._plan is not None:
                self._presenter.take(self._plan)
        return self._presenter

    @property
    def name(self) -> PageName:
        """Switches."""
        return PageName.SWITCHES

    @property
    def note(self) -> RailNote:
        """No words in the rail."""
        return RailNote()

    @property
    def help(self) -> PageHelp:
        """What F1 shows."""
        return HELP

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream; before the page is wanted only the plan matters."""
        if self._presenter is not None:
            self._presenter.take(item)
        elif isinstance(item, Kept) and isinstance(item.event, PlanKept):
            self._plan = item

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        if self._presenter is not None:
            self._presenter.tick(line_time_s)

    def main_action(self) -> None:
        """F5."""
        self.presenter.main_action()

    def view(self, look: Look, narrow: Narrow) -> PageView:
        """Make a view."""
        from buswalk.ui.pages.switches.view import SwitchesView

        return SwitchesView(look, narrow, self.presenter)
