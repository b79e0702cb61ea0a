"""Over the table: device, profile, how often it is read, the list shifted; or raw addresses in a stated notation."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.registers_state import Chooser, RawState, RegistersState
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.card import paint_card
from buswalk.ui.widgets.entries import Choice, Entry, NameChoice
from buswalk.ui.widgets.labels import caption, sentence
from buswalk.ui.widgets.segment import Segment

SHIFT_WORDS = ("−1", "0", "+1")


class SelectorsCard(QWidget):
    """Shows what is chosen."""

    raw_chosen = Signal(int, int, str, str)

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName("what is read")
        self.device = NameChoice(look, "device", 200)
        self.profile = NameChoice(look, "profile", 170)
        self.period = Choice(look, "read")
        self.shift = Segment(look, "shift list by", SHIFT_WORDS, 30)
        self._shift_caption = caption(look, "Shift list by")
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(12))
        grid.setVerticalSpacing(look.px(2))
        for i, (words, widget) in enumerate(
            (("Device", self.device), ("Profile", self.profile), ("Read", self.period))
        ):
            grid.addWidget(caption(look, words), 0, i)
            grid.addWidget(widget, 1, i)
        grid.addWidget(self._shift_caption, 0, 3)
        grid.addWidget(self.shift, 1, 3)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)
        self.raw = _RawRow(look, narrow, self._raw_changed)
        column = QVBoxLayout(self)
        column.setContentsMargins(look.px(12), look.px(5), look.px(12), look.px(7))
        column.setSpacing(look.px(6))
        column.addLayout(grid)
        column.addWidget(self.raw)

    def show_state(self, state: RegistersState) -> None:
        """Show other choices."""
        for choice, shown in (
            (self.device, state.devices),
            (self.profile, state.profiles),
            (self.period, state.periods),
        ):
            choice.show_choices(shown.words)
            choice.show_chosen(shown.chosen)
        self.shift.show_chosen(state.shift)
        for one in (self.shift, self._shift_caption):
            one.setVisible(state.raw is None)
        self.raw.setVisible(state.raw is not None)
        if state.raw is not None:
            self.raw.show_raw(state.raw)

    def _raw_changed(self) -> None:
        raw = self.raw
        chosen = raw.table.currentIndex(), raw.notation.currentIndex()
        self.raw_chosen.emit(*chosen, raw.first.text(), raw.quantity.text())

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the card."""
        paint_card(self, self._look)


class _RawRow(QWidget):
    """Table, notation, first address and how many."""

    def __init__(self, look: Look, narrow: Narrow, changed: Callable[[], None]) -> None:
        super().__init__()
        self.setAccessibleName("raw addresses")
        self.table, self.notation = Choice(look, "table"), Choice(look, "notation")
        self.first, self.quantity = Entry(look, "first address", 6), Entry(look, "how many", 4)
        self._problem = sentence(look)
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        parts = (
            self.table,
            caption(look, "first"),
            self.first,
            self.notation,
            caption(look, "how many"),
            self.quantity,
        )
        second = QHBoxLayout()
        second.setSpacing(look.px(10))
        for i, one in enumerate(parts):
            (second if narrow is Narrow.YES and i > 2 else row).addWidget(one)
        row.addStretch(1)
        second.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(4))
        column.addLayout(row)
        if narrow is Narrow.YES:
            column.addLayout(second)
        column.addWidget(self._problem)
        for choice in (self.table, self.notation):
            choice.activated.connect(lambda _index: changed())
        for entry in (self.first, self.quantity):
            entry.editingFinished.connect(changed)

    def show_raw(self, state: RawState) -> None:
        """Show what is read; an entry that is being typed into keeps its text."""
        for choice, shown in ((self.table, state.tables), (self.notation, state.notations)):
            _show(choice, shown)
        for entry, text in ((self.first, state.first), (self.quantity, state.quantity)):
            if not entry.hasFocus() and entry.text() != text:
                entry.setText(text)
        self._problem.show_text(state.problem, Tone.DOUBT)
        self._problem.setVisible(bool(state.problem))


def _show(choice: Choice, shown: Chooser) -> None:
    choice.show_choices(shown.words)
    choice.show_chosen(shown.chosen)
