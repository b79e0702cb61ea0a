"""A list that was brought in and is not taken yet: its rows, what each would change, what was odd, three ways on."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.plan.plan_cards import TroublesCard
from buswalk.ui.pages.plan.plan_state import PreviewState
from buswalk.ui.pages.plan.presenter import PlanPresenter
from buswalk.ui.sizes import CARD_GAP, ROW_OF_LONG_TABLE
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import sentence
from buswalk.ui.widgets.table import Table

COLUMNS = (
    Column("Place", 56, is_right=True),
    Column("Address", 80, is_right=True),
    Column("Device", 0, may_be_cut=True),
    Column("Setting", 120),
    Column("Board", 110, may_be_cut=True),
    Column("Where", 120, may_be_cut=True),
    Column("What would happen", 150),
)


class PreviewPane(QWidget):
    """Shows a PreviewState."""

    def __init__(self, look: Look, narrow: Narrow, presenter: PlanPresenter) -> None:
        super().__init__()
        self.setAccessibleName("a list that is not taken yet")
        self._card = Card(look, "List")
        self._card.let_body_reach_edges()
        self.table = Table(look, "rows of the list that is not taken yet", COLUMNS, ROW_OF_LONG_TABLE)
        self._card.body.addWidget(self.table, 1)
        self._sentence = sentence(look)
        self.replace = Button(look, "Put in its place", ButtonWeight.MAIN, "F5")
        self.add = Button(look, "Add at the end")
        self.leave = Button(look, "Take nothing", ButtonWeight.NORMAL, "Esc")
        self.replace.clicked.connect(lambda _checked=False: presenter.take_brought_in())
        self.add.clicked.connect(lambda _checked=False: presenter.add_brought_in())
        self.leave.clicked.connect(lambda _checked=False: presenter.leave_brought_in())
        self._troubles = TroublesCard(look)
        column = QVBoxLayout(self)
        ring = look.px(6) if narrow is Narrow.YES else 0  # room for the focus ring, which scrolling would cut
        column.setContentsMargins(0, ring, ring, 0)
        column.setSpacing(look.px(CARD_GAP))
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        row.addWidget(self._sentence, 1)
        for one in (self.leave, self.add, self.replace):
            row.addWidget(one)
        column.addLayout(row)
        column.addWidget(self._troubles)
        column.addWidget(self._card, 1)
        if narrow is Narrow.YES:
            self.table.setMinimumHeight(look.px(240))

    def show_preview(self, state: PreviewState) -> None:
        """Show it."""
        self._card.show_title(state.title)
        self._sentence.show_text(state.sentence, Tone.INK)
        self.table.show_rows(state.rows)
        for button, words, key in ((self.replace, state.replace_words, "F5"), (self.add, state.add_words, "")):
            button.setVisible(bool(words))
            if words:
                button.show_words(words, key)
        self._troubles.show_troubles(state.troubles)

    def first_focus(self) -> QWidget:
        """The likely way on."""
        return self.replace if self.replace.isVisibleTo(self) else self.leave
