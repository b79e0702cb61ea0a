"""The map learner: what it may harm, what is to be learnt, what it takes, how it goes, which spans can be read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QHBoxLayout

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.learn_desk import LearnForm
from buswalk.ui.pages.registers.registers_state import LearnState
from buswalk.ui.sizes import ROW_OF_LONG_TABLE, TABLE_HEAD
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, Entry, Tick
from buswalk.ui.widgets.labels import caption, sentence
from buswalk.ui.widgets.table import Table

COLUMNS = (
    Column("Span", 0, may_be_cut=True),
    Column("Addresses", 84, is_right=True),
    Column("Hex", 140),
    Column("What came", 184),
)
NARROW_ROWS = 5
RUNNING = "a map is being learnt: Esc stops it"


@dataclass(frozen=True, slots=True)
class LearnActs:
    """What the card asks for."""

    change: Callable[[LearnForm], None]
    learn: Callable[[], None]
    stop: Callable[[], None]
    open_span: Callable[[int], None]


class LearnCard(Card):
    """Shows a LearnState."""

    def __init__(self, look: Look, narrow: Narrow, acts: LearnActs) -> None:
        super().__init__(look, "Learn which addresses can be read")
        self._acts = acts
        self._caution = sentence(look, "", Tone.DOUBT)
        self.body.addWidget(self._caution)
        self.table, self.span = Choice(look, "table to learn"), Choice(look, "how closely")
        self.first, self.last = Entry(look, "first address", 6), Entry(look, "last address", 6)
        rows = QHBoxLayout(), QHBoxLayout()
        parts = (self.table, caption(look, "from"), self.first, caption(look, "to"), self.last, self.span)
        for i, one in enumerate(parts):
            rows[1 if narrow is Narrow.YES and i > 4 else 0].addWidget(one)
        for row in rows:
            row.setSpacing(look.px(10))
            row.addStretch(1)
            self.body.addLayout(row)
        self._forecast = sentence(look)
        self.body.addWidget(self._forecast)
        self.body.addWidget(caption(look, "Why does reading harm nothing here? It is kept in the record."))
        self.why = Entry(look, "why reading is safe")
        self.why.setPlaceholderText("for example: spare sensor on the bench")
        self.why.returnPressed.connect(self._learn)
        self.body.addWidget(self.why)
        self.living = Tick(look, "Another client may be disturbed")
        self.living.clicked.connect(lambda _checked=False: self._changed())
        self.body.addWidget(self.living)
        self.learn = Button(look, "Learn the map", ButtonWeight.NORMAL, "Enter")
        self.stop = Button(look, "Stop learning", ButtonWeight.NORMAL, "Esc")
        self.learn.clicked.connect(lambda _checked=False: self._learn())
        self.stop.clicked.connect(lambda _checked=False: acts.stop())
        self.body.addWidget(button_row(look, self.learn, self.stop))
        self._told = sentence(look)
        self.body.addWidget(self._told)
        self.spans = Table(look, "spans that can be read", COLUMNS, ROW_OF_LONG_TABLE)
        self.spans.opened.connect(acts.open_span)
        if narrow is Narrow.YES:
            self.spans.setMinimumHeight(look.px(TABLE_HEAD + NARROW_ROWS * ROW_OF_LONG_TABLE))
        self.body.addWidget(self.spans, 1)
        self.body.addWidget(caption(look, "Enter on a span reads it as raw addresses."))
        for choice in (self.table, self.span):
            choice.activated.connect(lambda _index: self._changed())
        for entry in (self.first, self.last, self.why):
            entry.editingFinished.connect(self._changed)

    def show_learn(self, state: LearnState) -> None:
        """Show another state; an entry that is being typed into keeps its text."""
        self._caution.show_text(f"▲  {state.caution}", Tone.DOUBT)
        for choice, shown in ((self.table, state.tables), (self.span, state.spans)):
            choice.show_choices(shown.words)
            choice.show_chosen(shown.chosen)
        for entry, text in ((self.first, state.first), (self.last, state.last), (self.why, state.why_safe)):
            if not entry.hasFocus() and entry.text() != text:
                entry.setText(text)
        self._forecast.show_text(state.forecast)
        self.living.setVisible(state.has_living)
        self.living.setChecked(state.may_disturb)
        self.learn.show_words(state.button, "Enter")
        if state.is_running:
            self.learn.refuse(RUNNING)
        else:
            self.learn.allow()
        self.stop.setVisible(state.is_running)
        self._told.show_text(state.told, state.tone)
        self._told.setVisible(bool(state.told))
        self.spans.show_rows(state.rows)

    def _changed(self) -> None:
        places = self.first.text(), self.last.text()
        chosen = self.table.currentIndex(), self.span.currentIndex()
        self._acts.change(
            LearnForm(chosen[0], *places, chosen[1], self.why.text(), may_disturb=self.living.isChecked())
        )

    def _learn(self) -> None:
        self._changed()
        self._acts.learn()
