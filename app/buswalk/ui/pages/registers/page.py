"""The page Registers as the shell knows it."""

from __future__ import annotations

from buswalk.bus.messages import StreamItem
from buswalk.ui.live.feed import Commands
from buswalk.ui.look import Look
from buswalk.ui.pages.page import KeyHelp, Narrow, PageHelp, PageName, PageView, RailNote
from buswalk.ui.pages.registers.presenter import RegistersPresenter
from buswalk.ui.pages.registers.ways import RegistersWays

HELP = PageHelp(
    "Values of one device by the list that describes it, or raw addresses; every way to read the focused words; and "
    "one guarded write at a time. Move sets a device to another address or speed, and Bytes sends what you type, both "
    "behind the same lock. Reading is harmless but where it clears: that is only done when asked for by Enter.",
    (
        KeyHelp("F5", "read once, or watch at the period chosen; pause"),
        KeyHelp("Enter", "read the focused point alone; what reading clears, after a second Enter"),
        KeyHelp("Ctrl+T", "values, look for a value, describe a point, learn the map, move it, bytes of your own"),
        KeyHelp("F2", "move the device to another address or speed: a guided job; F5 there looks again, never writes"),
        KeyHelp("Ctrl+Z", "take back a change of the list, never a write"),
        KeyHelp("Enter", "on a column of a list brought in: to what it is taken for, and back"),
        KeyHelp("Ctrl+E", "export the list that is shown to a new file: .csv or .xlsx"),
        KeyHelp("Ctrl+U", "unlock writing for 5 minutes, with a reason; lock it"),
        KeyHelp("F4", "back to the device, where one came from"),
        KeyHelp("F7", "to the switches of the device, and back"),
        KeyHelp("Ctrl+C", "copy the row as text"),
        KeyHelp("Ctrl+Shift+C", "copy the bytes of the exchange that is shown under Bytes"),
        KeyHelp("Esc", "leave a question; else stop the job"),
    ),
)


class RegistersPage:
    """Presenter and views."""

    def __init__(self, commands: Commands, ways: RegistersWays) -> None:
        self.presenter = RegistersPresenter(commands, ways)

    @property
    def name(self) -> PageName:
        """Registers."""
        return PageName.REGISTERS

    @property
    def note(self) -> RailNote:
        """How many places were changed and not put back."""
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
        from buswalk.ui.pages.registers.view import RegistersView

        self.presenter.open()
        return RegistersView(look, narrow, self.presenter)
