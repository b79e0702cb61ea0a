"""A page with little on it, for tests of the shell: a sentence, two buttons, a table, an entry."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from buswalk.bus.messages import Command, StreamItem
from buswalk.ui.live.feed import Commands
from buswalk.ui.look import Look
from buswalk.ui.pages.page import PORT_CHOICE, KeyHelp, Narrow, PageHelp, PageName, RailNote, ShellActions
from buswalk.ui.sounds import Sounds
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice
from buswalk.ui.widgets.page_top import PageTop
from buswalk.ui.widgets.table import Cell, Column, Table


class PlainPage:
    """Counts what it is told."""

    def __init__(self, name: PageName, commands: Commands) -> None:
        self.name = name
        self.note = RailNote()
        self.help = PageHelp(
            f"What the page {name.word} is for, in one sentence that is long enough to break into lines.",
            (KeyHelp("Ctrl+G", "go to an address"), KeyHelp("Ctrl+C", "copy the row")),
        )
        self.taken: list[StreamItem] = []
        self.ticks = 0
        self.main_actions = 0
        self._commands = commands

    def take(self, item: StreamItem) -> None:
        """Remember an item."""
        self.taken.append(item)

    def tick(self, line_time_s: float) -> None:
        """Count it."""
        self.ticks += 1

    def send(self, command: Command) -> None:
        """Send a command as a page does."""
        self._commands.send(command)

    def main_action(self) -> None:
        """Count it."""
        self.main_actions += 1

    def view(self, look: Look, narrow: Narrow) -> PlainView:
        """Make a view."""
        return PlainView(look, narrow, self)


class PlainView(QWidget):
    """Page top, a card with a choice, a table."""

    def __init__(self, look: Look, narrow: Narrow, page: PlainPage) -> None:
        super().__init__()
        self.setAccessibleName(page.name.word)
        self._page = page
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        other = Button(look, "Close port")
        self._main = Button(look, "Search", ButtonWeight.MAIN, "F5")
        self._main.clicked.connect(lambda _checked=False: page.main_action())
        self._top = PageTop(look, narrow, page.name.word, (other, self._main))
        column.addWidget(self._top)
        card = Card(look, "Port")
        self._choice = Choice(look, "port", ("COM5", "demo line"))
        self._choice.setObjectName(PORT_CHOICE)
        card.body.addWidget(self._choice)
        column.addWidget(card)
        found = Card(look, "Found devices")
        found.let_body_reach_edges()
        self._table = Table(look, "found devices", (Column("Address", 80), Column("What it is", 0, may_be_cut=True)))
        found.body.addWidget(self._table)
        column.addWidget(found, 1)

    def widget(self) -> QWidget:
        """Itself."""
        return self

    def refresh(self) -> None:
        """Show how much was taken."""
        self._top.show_sentence(f"{len(self._page.taken)} items were taken.")
        self._table.show_rows([(Cell("11"), Cell("controller P, bay 1")), (Cell("21"), Cell("air, bay 1 north"))])

    def panes(self) -> Sequence[QWidget]:
        """Buttons, choice, table."""
        return self._main, self._choice, self._table

    def first_focus(self) -> QWidget:
        """The main button."""
        return self._main


class PlainPages:
    """Makes plain pages and keeps them for a test to look at."""

    def __init__(self, *names: PageName) -> None:
        self._names = names or (PageName.LINE, PageName.FIND, PageName.PLAN)
        self.made: dict[PageName, PlainPage] = {}
        self.actions: ShellActions | None = None

    def __call__(self, commands: Commands, actions: ShellActions, sounds: Sounds) -> Sequence[PlainPage]:
        """Make them."""
        self.actions = actions
        self.made = {name: PlainPage(name, commands) for name in self._names}
        return tuple(self.made.values())
