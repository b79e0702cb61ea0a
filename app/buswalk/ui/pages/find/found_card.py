"""The card of found devices: a table, or why it is empty."""

from __future__ import annotations

from enum import Enum

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.search_state import FoundRow, FoundState
from buswalk.ui.sizes import PAGE_NAME_TEXT, ROW_FOUND, ROW_LOW, TABLE_HEAD, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import Text
from buswalk.ui.widgets.table import Cell, Column, Row, Table, Weight

_COLUMNS = (
    Column("Address", 66),
    Column("Setting", 122),
    Column("Turnaround", 88, is_right=True),
    Column("span", 76),
    Column("What it is", 0, may_be_cut=True),
    Column("It says of itself", 176, may_be_cut=True),
    Column("Plan", 96),
    Column("Doubt", 148),
)
_ONLY_WHERE_WIDE = (5, 6)
_SPAN = 3


class Room(Enum):
    """How wide the page is."""

    TIGHT = "tight"
    USUAL = "usual"
    WIDE = "wide"


class FoundCard(QWidget):
    """Tells which device is chosen, and which one is to be opened, by its address."""

    chosen = Signal(int)
    opened = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: FoundState | None = None
        self.setAccessibleName("found")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self._stack = QStackedWidget()
        self._stack.setAccessibleName("found devices")
        column.addWidget(self._stack)
        self._card = Card(look, "Found devices", "Enter: open   Ctrl+E: export")
        self._card.let_body_reach_edges()
        self.table = Table(look, "found devices", _COLUMNS, ROW_FOUND)
        self.table.row_chosen.connect(lambda row: self._tell(row, self.chosen))
        self.table.opened.connect(lambda row: self._tell(row, self.opened))
        self.be_as_wide(Room.USUAL)
        self._card.body.addWidget(self.table)
        self._empty = Card(look, "")
        self._headline = Text(look, look.bold(PAGE_NAME_TEXT))
        self._headline.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._words = Text(look, look.regular(TEXT), "", Tone.INK2).wrapped()
        self._words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        for one in (self._headline, self._words):
            self._empty.body.addWidget(one)
        self._empty.body.insertStretch(0, 1)
        self._empty.body.addStretch(1)
        self._stack.addWidget(self._empty)
        self._stack.addWidget(self._card)

    def be_as_wide(self, room: Room) -> None:
        """Show all columns, or only those that fit a small window."""
        for column in _ONLY_WHERE_WIDE:
            self.table.setColumnHidden(column, room is not Room.WIDE)
        self.table.setColumnHidden(_SPAN, room is Room.TIGHT)

    def show_found(self, state: FoundState) -> None:
        """Show the list."""
        if state == self._state:
            return
        self._state = state
        self._card.show_title(state.title)
        self._headline.show_text(state.empty_headline)
        self._words.show_text(state.empty_words, Tone.INK2)
        self._empty.setAccessibleName(f"{state.empty_headline}. {state.empty_words}")
        self.table.show_rows([self._row(one) for one in state.rows])
        if state.chosen >= 0:
            self.table.choose_row(state.chosen)
        else:
            self.table.clearSelection()
        self._stack.setCurrentWidget(self._card if state.rows else self._empty)
        self._fit_rows()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lower rows where the usual ones would not fit."""
        super().resizeEvent(event)
        self._fit_rows()

    def _fit_rows(self) -> None:
        rows = len(self._state.rows) if self._state is not None else 0
        room = self.table.height() / self._look.factor - TABLE_HEAD
        self.table.make_rows_high(ROW_FOUND if rows * ROW_FOUND <= room else ROW_LOW)

    @property
    def focus_target(self) -> QWidget:
        """Where F6 stops."""
        return self.table

    def needed_height(self, look: Look) -> int:
        """Return how high the card is with all its rows."""
        rows = max(6, len(self._state.rows) if self._state is not None else 0)
        return look.px(64 + rows * ROW_FOUND)

    def _tell(self, row: int, signal: SignalInstance) -> None:
        if self._state is not None and 0 <= row < len(self._state.rows):
            signal.emit(self._state.rows[row].address)

    def _row(self, one: FoundRow) -> Row:
        spoken = f"{one.address}, {one.state.word}"
        cells = [
            Cell(str(one.address), weight=Weight.KEY, shape=one.state, spoken=spoken),
            Cell(one.setting),
            Cell(one.turnaround, weight=Weight.BOLD),
            Cell(one.span, Tone.INK2),
            Cell(one.what),
        ]
        return (
            *cells,
            Cell(one.identity, Tone.INK2),
            Cell(one.planned_at, Tone.INK2),
            Cell(one.doubt, one.doubt_tone, spoken=one.doubt_spoken),
        )
