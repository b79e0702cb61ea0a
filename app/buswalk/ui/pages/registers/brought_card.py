"""What a point list that was brought in is taken for, in place of the points, until they are taken or left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QGridLayout

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.registers_state import BroughtState
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice
from buswalk.ui.widgets.labels import caption, sentence


@dataclass(frozen=True, slots=True)
class BroughtActs:
    """What the card asks for."""

    choose_notation: Callable[[int], None]
    choose_table: Callable[[int], None]
    take: Callable[[], None]
    leave: Callable[[], None]


class BroughtCard(Card):
    """Shows a BroughtState."""

    def __init__(self, look: Look, narrow: Narrow, acts: BroughtActs) -> None:
        super().__init__(look, "List brought in")
        self.notation, self.table = Choice(look, "how the list counts"), Choice(look, "table where a row names none")
        self.notation.activated.connect(acts.choose_notation)
        self.table.activated.connect(acts.choose_table)
        self._columns, self._why, self._doubts = sentence(look), sentence(look), sentence(look)
        self._troubles, self._points, self._caution = sentence(look), sentence(look), sentence(look)
        grid = QGridLayout()
        grid.setContentsMargins(0, look.px(4), 0, look.px(6))
        grid.setHorizontalSpacing(look.px(12))
        grid.setVerticalSpacing(look.px(4))
        for i, (words, widget) in enumerate(
            (("Addresses are", self.notation), ("Table where a row names none", self.table))
        ):
            row, column = (2 * i, 0) if narrow is Narrow.YES else (0, i)
            grid.addWidget(caption(look, words), row, column)
            grid.addWidget(widget, row + 1, column)
        grid.setColumnStretch(2, 1)
        self.take = Button(look, "Take these points", ButtonWeight.NORMAL)
        self.take.clicked.connect(lambda _checked=False: acts.take())
        self.leave = Button(look, "Leave it", ButtonWeight.NORMAL, "Esc")
        self.leave.clicked.connect(lambda _checked=False: acts.leave())
        self.body.addWidget(self._columns)
        self.body.addLayout(grid)
        for one in (self._why, self._doubts, self._points, self._troubles, self._caution):
            self.body.addWidget(one)
        self.body.addWidget(button_row(look, self.take, self.leave))
        self.body.addStretch(1)

    def show_brought(self, state: BroughtState) -> None:
        """Show a list, or how it is read now."""
        self.show_title(state.title)
        for choice, shown in ((self.notation, state.notations), (self.table, state.tables)):
            choice.show_choices(shown.words)
            choice.show_chosen(shown.chosen)
        for text, words, tone in (
            (self._columns, "\n".join(state.columns), Tone.INK2),
            (self._why, state.why_notation, state.why_tone),
            (self._doubts, "\n".join(state.doubts), Tone.DOUBT),
            (self._points, state.points, Tone.INK),
            (self._troubles, "\n".join(state.troubles), Tone.INK2),
            (self._caution, state.caution, Tone.DOUBT),
        ):
            text.show_text(words, tone)
            text.setVisible(bool(words))
        if state.refusal:
            self.take.refuse(state.refusal)
        else:
            self.take.allow()
