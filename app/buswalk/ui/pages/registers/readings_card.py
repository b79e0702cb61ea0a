"""The side panel: every reading of the focused registers, all notations, what the list says."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.registers_state import ReadingsState
from buswalk.ui.sizes import KEY_VALUE_TEXT, ROW_OUTCOME, TABLE_HEAD, TEXT
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import Text, caption, sentence
from buswalk.ui.widgets.table import Table

COLUMNS = (Column("Type and order", 0, may_be_cut=True), Column("Reads as", 122, is_right=True), Column("Verdict", 70))
LEAST_ROWS, NARROW_ROWS = 3, 6
LONG_WORDS = 24


class ReadingsCard(Card):
    """Shows a ReadingsState."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "Every reading")
        self._raw = Text(look, look.fixed(KEY_VALUE_TEXT))
        self._long_raw = Text(look, look.fixed(TEXT)).wrapped()
        self._said = caption(look)
        row = QHBoxLayout()
        row.addWidget(self._raw)
        row.addStretch(1)
        row.addWidget(self._said)
        self.body.addLayout(row)
        self.body.addWidget(self._long_raw)
        self._trouble = sentence(look)
        self.body.addWidget(self._trouble)
        self.table = Table(look, "every reading of the focused registers", COLUMNS, ROW_OUTCOME)
        rows = NARROW_ROWS if narrow is Narrow.YES else LEAST_ROWS
        self.table.setMinimumHeight(look.px(TABLE_HEAD + rows * ROW_OUTCOME + 2))
        self.body.addWidget(self.table, 1)
        self._below = sentence(look)
        self._is_short = False
        self.body.addWidget(self._below)
        self.body.addStretch(0)

    def show_readings(self, state: ReadingsState) -> None:
        """Show another point."""
        self.show_title(state.title)
        is_long = len(state.raw_words) > LONG_WORDS
        self._raw.show_text("" if is_long else state.raw_words)
        self._long_raw.show_text(state.raw_words if is_long else "")
        self._long_raw.setVisible(is_long)
        self._said.show_text(state.aside)
        self._trouble.show_text(state.trouble, state.trouble_tone)
        self._trouble.setVisible(bool(state.trouble))
        self.table.show_rows(state.rows)
        self.table.setVisible(bool(state.rows))
        self.body.setStretch(self.body.count() - 1, 0 if state.rows else 1)
        if state.rows and not self.table.currentIndex().isValid():
            self.table.choose_row(0)
        self._below.show_text(" ".join(state.below), Tone.INK2)
        self._below.setVisible(bool(state.below) and not self._is_short)

    def make_short(self, *, is_short: bool) -> None:
        """Leave out what stands under the readings where a write needs the room."""
        self._is_short = is_short
        self._below.setVisible(bool(self._below.text()) and not is_short)
