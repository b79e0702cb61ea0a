"""The facts of the board, each a segment under its caption, in as many rows as they need."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.switches.describe_state import FactChoice
from buswalk.ui.sizes import SPACE_M
from buswalk.ui.widgets.labels import caption
from buswalk.ui.widgets.segment import Segment

FACTS_IN_ROW = 4


class FactsBar(QWidget):
    """Says which fact, by its place, was given which value."""

    changed = Signal(int, int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._shown: tuple[FactChoice, ...] = ()
        self._segments: list[Segment] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(look.px(4))
        self._rows: list[QWidget] = []
        self.setAccessibleName("facts of the board")

    def show_facts(self, facts: tuple[FactChoice, ...]) -> None:
        """Show the facts; segments stay where only their values have changed, and so does the focus."""
        words = [(one.caption, one.values) for one in facts]
        if words != [(one.caption, one.values) for one in self._shown]:
            self._make(facts)
        for segment, fact in zip(self._segments, facts, strict=True):
            segment.show_chosen(fact.chosen)
        self._shown = facts

    def segment(self, index: int) -> Segment:
        """One fact's segment, for tests."""
        return self._segments[index]

    def _make(self, facts: tuple[FactChoice, ...]) -> None:
        for row in self._rows:
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()
        self._rows, self._segments = [], []
        for begin in range(0, len(facts), FACTS_IN_ROW):
            row = QWidget()
            row.setAccessibleName("facts of the board")
            line = QHBoxLayout(row)
            line.setContentsMargins(0, 0, 0, 0)
            line.setSpacing(self._look.px(SPACE_M))
            for place, fact in enumerate(facts[begin : begin + FACTS_IN_ROW], start=begin):
                line.addLayout(self._fact(place, fact))
            line.addStretch(1)
            self._column.addWidget(row)
            self._rows.append(row)

    def _fact(self, place: int, fact: FactChoice) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setSpacing(self._look.px(2))
        column.addWidget(caption(self._look, fact.caption))
        segment = Segment(self._look, fact.caption, fact.values, 30)
        segment.chosen.connect(lambda value, at=place: self.changed.emit(at, value))
        column.addWidget(segment)
        self._segments.append(segment)
        return column
