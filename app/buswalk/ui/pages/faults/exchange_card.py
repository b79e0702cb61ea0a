"""The shown exchange: its bytes explained, notes below, and how to go to the next one."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.faults.byte_rows import ByteRows
from buswalk.ui.pages.faults.exchange_state import ExchangeState
from buswalk.ui.pages.page import Narrow
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import ColumnArea
from buswalk.ui.widgets.labels import Text, sentence

MOST_NOTES = 4


class ExchangeCard(Card):
    """Shows an ExchangeState; where it is higher than its room it scrolls down."""

    walked = Signal(int)
    around = Signal()

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "Exchange")
        self._state: ExchangeState | None = None
        self.previous = Button(look, "Previous", ButtonWeight.SMALL, "Shift+F8")
        self.next = Button(look, "Next", ButtonWeight.SMALL, "F8")
        self.around_it = Button(look, "10 min around", ButtonWeight.SMALL)
        self.copy = Button(look, "Copy bytes", ButtonWeight.SMALL)
        self.previous.clicked.connect(lambda _checked=False: self.walked.emit(-1))
        self.next.clicked.connect(lambda _checked=False: self.walked.emit(1))
        self.around_it.clicked.connect(lambda _checked=False: self.around.emit())
        self.copy.clicked.connect(lambda _checked=False: self.copy_bytes())
        buttons = (self.previous, self.next) if narrow is Narrow.YES else (self.previous, self.next, self.around_it)
        for one in (*buttons, self.copy):
            self.add_to_head(one)
        self.rows = ByteRows(look, "bytes of the exchange")
        self._said = sentence(look)
        self._notes: tuple[Text, ...] = tuple(sentence(look) for _ in range(MOST_NOTES))
        content = QWidget()
        column = QVBoxLayout(content)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(2))
        for one in (self._said, self.rows, *self._notes):
            column.addWidget(one)
        column.addStretch(1)
        if narrow is Narrow.YES:
            self.body.addWidget(content)
        else:
            self.body.addWidget(ColumnArea("exchange", content), 1)

    def show_exchange(self, state: ExchangeState | None, said: str) -> None:
        """Show an exchange, and what came of the last step."""
        self._said.show_text(said)
        self._said.setVisible(bool(said))
        if state == self._state:
            return
        self._state = state
        self.show_title(state.title if state is not None else "Exchange")
        self.rows.setVisible(state is not None)
        self.copy.setVisible(state is not None)
        self.around_it.setVisible(state is not None and self.around_it.parent() is not None)
        notes = state.notes if state is not None else ()
        for widget, note in zip(self._notes, (*notes, *(None,) * MOST_NOTES), strict=False):
            widget.setVisible(note is not None)
            if note is not None:
                widget.show_text(note.words, note.tone)
        if state is not None:
            self.rows.show_rows(state.rows)

    def copy_bytes(self) -> None:
        """Ctrl+Shift+C."""
        if self._state is not None:
            QGuiApplication.clipboard().setText(self._state.copied)
