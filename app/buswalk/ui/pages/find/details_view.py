"""Details of one address: what is known of it, every exchange, and the bytes of the chosen one with their meaning."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeySequence, QResizeEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.action_button import ActionButton
from buswalk.ui.pages.find.search_state import Action, ByteRow, DetailsState, ExchangeRow
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CARD_GAP, KEY_VALUE_TEXT, ROW_LOW, ROW_OUTCOME, TEXT
from buswalk.ui.tones import Tone, tone_of
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import NameText, Text, caption, sentence
from buswalk.ui.widgets.table import Cell, Column, Row, Table, Weight

_EXCHANGES = (
    Column("No.", 58, is_right=True),
    Column("Time", 100),
    Column("Setting", 86),
    Column("Asked", 124),
    Column("What came back", 0),
    Column("Turnaround", 112, is_right=True),
)
_BYTES = (Column("Bytes", 160), Column("What they mean", 0))
BYTES_WIDTH = 524
NARROW_TABLE_HEIGHT = 300


class DetailsView(QWidget):
    """Draws a DetailsState; Backspace goes back to the list."""

    closed = Signal()
    exchange_chosen = Signal(int)

    def __init__(self, look: Look, narrow: Narrow, pressed: Callable[[Action], None]) -> None:
        super().__init__()
        self._look = look
        self._state: DetailsState | None = None
        self.setAccessibleName("details of one address")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(8))
        self.back = Button(look, "Found devices", key="Backspace")
        self.back.clicked.connect(self.closed)
        self._title = NameText(look, look.bold(KEY_VALUE_TEXT))
        self._older = ActionButton(look, ButtonWeight.NORMAL, pressed)
        self._ping = ActionButton(look, ButtonWeight.NORMAL, pressed)
        self._move = ActionButton(look, ButtonWeight.NORMAL, pressed)
        head = QHBoxLayout()
        head.setSpacing(look.px(CARD_GAP))
        head.addWidget(self.back)
        head.addWidget(self._title, 1)
        head.addWidget(self._older)
        head.addWidget(self._ping)
        head.addWidget(self._move)
        column.addLayout(head)
        self._known = Card(look, "What is known")
        self._facts = sentence(look)
        self._known.body.addWidget(self._facts)
        column.addWidget(self._known)
        column.addLayout(self._tables(look, narrow), 1)
        for keys in ("Backspace", "Alt+Left"):
            back = QShortcut(QKeySequence(keys), self, context=Qt.ShortcutContext.WidgetWithChildrenShortcut)
            back.activated.connect(self.closed)
        copy = QShortcut(QKeySequence("Ctrl+Shift+C"), self, context=Qt.ShortcutContext.WidgetWithChildrenShortcut)
        copy.activated.connect(self._copy)

    def _tables(self, look: Look, narrow: Narrow) -> QHBoxLayout | QVBoxLayout:
        is_narrow = narrow is Narrow.YES
        both: QHBoxLayout | QVBoxLayout = QVBoxLayout() if is_narrow else QHBoxLayout()
        both.setSpacing(look.px(CARD_GAP))
        self._exchanges_card = Card(look, "Exchanges", "arrows choose one   Ctrl+C: copy row")
        self._exchanges_card.let_body_reach_edges()
        self.exchanges = Table(look, "exchanges", _EXCHANGES, ROW_LOW)
        self.exchanges.row_chosen.connect(self._chosen)
        self._exchanges_card.body.addWidget(self.exchanges)
        self._older_words = caption(look)
        self._exchanges_card.body.addWidget(self._older_words)
        self._bytes_card = Card(look, "Bytes", "Ctrl+Shift+C: copy bytes")
        self._bytes_card.let_body_reach_edges()
        self.bytes_table = Table(look, "bytes with their meaning", _BYTES, ROW_OUTCOME)
        self._outcome = Text(look, look.bold(TEXT)).wrapped()
        self._outcome.setContentsMargins(look.px(11), 0, look.px(11), look.px(4))
        self._bytes_card.body.addWidget(self._outcome)
        self._bytes_card.body.addWidget(self.bytes_table, 1)
        self._remarks = Text(look, look.regular(TEXT), "", Tone.DOUBT).wrapped()
        self._remarks.setContentsMargins(look.px(11), 0, look.px(11), look.px(6))
        self._bytes_card.body.addWidget(self._remarks)
        both.addWidget(self._exchanges_card, 1)
        both.addWidget(self._bytes_card)
        if is_narrow:
            self.exchanges.setMinimumHeight(look.px(NARROW_TABLE_HEIGHT))
            self.bytes_table.setMinimumHeight(look.px(NARROW_TABLE_HEIGHT))
        else:
            self._bytes_card.setFixedWidth(look.px(BYTES_WIDTH))
        return both

    def show_details(self, state: DetailsState) -> None:
        """Show it."""
        if state == self._state:
            return
        self._state = state
        self._title.show_text(state.title)
        self._facts.show_text(" ".join(state.facts), Tone.INK)
        self._exchanges_card.show_title(state.exchanges_title)
        self.exchanges.show_rows([_exchange_cells(one) for one in state.exchanges])
        self.exchanges.choose_row(state.chosen)
        self._bytes_card.show_title(state.bytes_title)
        self.bytes_table.show_rows(_bytes_cells(state.byte_rows))
        self._outcome.show_text(state.outcome)
        self._remarks.show_text("\n".join(state.remarks), Tone.DOUBT)
        self._remarks.setVisible(bool(state.remarks))
        self._older.show_action(state.older)
        self._older_words.show_text(state.older_words, Tone.INK2)
        self._older_words.setVisible(bool(state.older_words))
        self._ping.show_action(state.ping)
        self._move.show_action(state.move)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the chosen exchange in sight."""
        super().resizeEvent(event)
        self._see_chosen()

    def showEvent(self, event: QShowEvent) -> None:
        """Bring the chosen exchange into sight."""
        super().showEvent(event)
        self._see_chosen()

    def _see_chosen(self) -> None:
        self.exchanges.scrollTo(self.exchanges.currentIndex(), Table.ScrollHint.PositionAtCenter)

    def _chosen(self, row: int) -> None:
        if self._state is not None and 0 <= row < len(self._state.exchanges) and row != self._state.chosen:
            self.exchange_chosen.emit(self._state.exchanges[row].number)

    def _copy(self) -> None:
        if self._state is not None:
            QGuiApplication.clipboard().setText(self._state.copied_bytes)


def _exchange_cells(one: ExchangeRow) -> Row:
    return (
        Cell(str(one.number), Tone.INK2),
        Cell(one.when, Tone.INK2),
        Cell(one.setting),
        Cell(one.asked),
        Cell(one.came_back, tone_of(one.kind), shape=one.kind, exception_code=one.exception_code),
        Cell(one.turnaround, weight=Weight.BOLD),
    )


def _bytes_cells(rows: tuple[ByteRow, ...]) -> list[Row]:
    """Sent ones first, under a row that says so; then what came back."""
    cells: list[Row] = []
    for is_received, head in ((False, "sent"), (True, "came back")):
        part = [one for one in rows if one.is_received is is_received]
        if part:
            cells.append((Cell(head, Tone.INK2, Weight.BOLD), Cell("")))
        for one in part:
            tone = Tone.FAULT if one.is_wrong else Tone.INK
            cells.append((Cell(one.data, tone, Weight.FIXED), Cell(one.meaning, Tone.INK2)))
        if is_received and not part:
            cells.append((Cell("came back", Tone.INK2, Weight.BOLD), Cell("nothing", Tone.INK2)))
    return cells if rows else []
