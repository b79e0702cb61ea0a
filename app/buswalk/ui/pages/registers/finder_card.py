"""'The display shows ...': the value finder in place of the points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QHBoxLayout

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.registers_state import FinderState
from buswalk.ui.sizes import ROW_OF_LONG_TABLE, TABLE_HEAD
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Entry
from buswalk.ui.widgets.labels import caption, sentence
from buswalk.ui.widgets.table import Table

COLUMNS = (
    Column("Where", 156),
    Column("Type and order", 0, may_be_cut=True),
    Column("Scale", 96),
    Column("Reads as", 110, is_right=True),
)
NARROW_ROWS = 6


@dataclass(frozen=True, slots=True)
class FinderActs:
    """What the card asks for."""

    look: Callable[[str], None]
    begin_anew: Callable[[], None]
    choose: Callable[[int], None]
    take_meaning: Callable[[str], None]
    shift: Callable[[], None]


class FinderCard(Card):
    """Shows a FinderState."""

    def __init__(self, look: Look, narrow: Narrow, acts: FinderActs) -> None:
        super().__init__(look, "Find a value")
        self._acts = acts
        self.entry = Entry(look, "the display shows", 12)
        self.entry.returnPressed.connect(self._ask)
        self.look = Button(look, "Read and look", ButtonWeight.NORMAL, "Enter")
        self.look.clicked.connect(lambda _checked=False: self._ask())
        self.again = Button(look, "Begin anew", ButtonWeight.NORMAL)
        self.again.clicked.connect(lambda _checked=False: acts.begin_anew())
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        for one in (caption(look, "The display shows"), self.entry, self.look, self.again):
            row.addWidget(one)
        row.addStretch(1)
        self.body.addLayout(row)
        self._of = caption(look)
        self._told, self._shift, self._scale = sentence(look), sentence(look, "", Tone.DOUBT), sentence(look)
        self.shift = Button(look, "Shift the list", ButtonWeight.SMALL)
        self.shift.clicked.connect(lambda _checked=False: acts.shift())
        self.table = Table(look, "what could mean it", COLUMNS, ROW_OF_LONG_TABLE)
        self.table.row_chosen.connect(acts.choose)
        if narrow is Narrow.YES:
            self.table.setMinimumHeight(look.px(TABLE_HEAD + NARROW_ROWS * ROW_OF_LONG_TABLE))
        self.name = Entry(look, "call it", 14)
        self.name.setPlaceholderText("what people call it")
        self.name.returnPressed.connect(self._take)
        self.take = Button(look, "Take into the list", ButtonWeight.NORMAL)
        self.take.clicked.connect(lambda _checked=False: self._take())
        for two in (self._of, self._told, self._shift, button_row(look, self.shift), self._scale):
            self.body.addWidget(two)
        self.body.addWidget(self.table, 1)
        self._foot = button_row(look, caption(look, "Call it"), self.name, self.take)
        self.body.addWidget(self._foot)

    def show_finder(self, state: FinderState) -> None:
        """Show another state."""
        self._of.show_text(
            f"The value shown is taken for '{state.of_point}' too, to judge the list." if state.of_point else ""
        )
        self._of.setVisible(bool(state.of_point))
        self._told.show_text(state.told, state.tone)
        for text, words in ((self._shift, state.shift), (self._scale, state.scale)):
            text.show_text(words, Tone.DOUBT if text is self._shift else Tone.INK)
            text.setVisible(bool(words))
        self.shift.setVisible(bool(state.shift_button))
        if state.shift_button:
            self.shift.show_words(state.shift_button)
        self.table.show_rows(state.rows)
        if state.rows:
            self.table.choose_row(state.chosen)
        self._foot.setVisible(bool(state.rows))

    def _ask(self) -> None:
        self._acts.look(self.entry.text())

    def _take(self) -> None:
        text = self.name.text()
        self.name.setText("")
        self._acts.take_meaning(text)
