"""The table at the top right: readings at the cursor, who moved, who goes along."""

from __future__ import annotations

from PySide6.QtCore import Signal

from buswalk.ui.look import Look
from buswalk.ui.pages.trend.trend_state import ReadingsState
from buswalk.ui.sizes import ROW_OUTCOME
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import sentence
from buswalk.ui.widgets.segment import Segment
from buswalk.ui.widgets.table import Column, Table

FACES = ("Cursor", "Moved", "Together")
VALUE_WIDTHS = ((150, 0), (96, 76), (60, 86))


class ReadingsCard(Card):
    """Shows a ReadingsState."""

    face_chosen = Signal(int)
    point_chosen = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__(look, "")
        self.setAccessibleName("readings")
        self._look = look
        self.faces = Segment(look, "what the table shows", FACES, 28)
        self.faces.chosen.connect(self.face_chosen)
        self.add_to_head(self.faces)
        columns = (Column("Point", 0, may_be_cut=True), Column("", 150, is_right=True), Column("", 60, is_right=True))
        self.table = Table(look, "readings of the points", columns, ROW_OUTCOME)
        self.table.row_chosen.connect(self._chosen)
        self._sentence = sentence(look)
        self.let_body_reach_edges()
        self.body.addWidget(self.table, 1)
        self.body.addWidget(self._sentence)
        self._is_drawing = False

    def show_readings(self, state: ReadingsState) -> None:
        """Show other rows."""
        self._is_drawing = True
        self.faces.show_chosen(state.face)
        first, second = VALUE_WIDTHS[state.face]
        self.table.setColumnWidth(1, self._look.px(first))
        self.table.setColumnHidden(2, not second)
        if second:
            self.table.setColumnWidth(2, self._look.px(second))
        for at, words in enumerate(state.heads):
            self.table.rows_model.show_head(at, words)
        self.table.show_rows(state.rows)
        self.table.choose_row(state.chosen)
        self._sentence.show_text(state.sentence)
        self._sentence.setVisible(bool(state.sentence))
        self._is_drawing = False

    def _chosen(self, row: int) -> None:
        if not self._is_drawing:
            self.point_chosen.emit(row)
