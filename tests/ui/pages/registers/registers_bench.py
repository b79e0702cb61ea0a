"""The presenter of the page Registers with what it asks for, for tests."""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.bus.messages import StreamItem
from buswalk.ui.pages.registers.presenter import RegistersPresenter
from buswalk.ui.table_cells import Row
from tests.fakes.registers_stage import (
    RegistersParts,
)
from tests.fakes.sent_commands import SentCommands


class Page:
    """A presenter with what it asks for."""

    def __init__(self, items: Iterable[StreamItem] = (), at_s: float = 12.0) -> None:
        self.parts = RegistersParts()
        self.commands = SentCommands()
        self.presenter = RegistersPresenter(self.commands, self.parts.ways())
        self.presenter.open()
        self.take(items, at_s)

    def take(self, items: Iterable[StreamItem], at_s: float = 12.0) -> None:
        for item in items:
            self.presenter.take(item)
        self.presenter.tick(at_s)

    def row(self, name: str) -> Row:
        return next(row for row in self.presenter.state.points.rows if row[0].words == name)

    def focus(self, name: str) -> None:
        rows = self.presenter.state.points.rows
        self.presenter.choose_row(next(i for i, row in enumerate(rows) if row[0].words == name))


def words(row: Row) -> list[str]:
    return [cell.words for cell in row]
