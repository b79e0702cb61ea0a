"""The card on which a board is described by what one sees of it, and kept under a name."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLayout, QLineEdit, QVBoxLayout, QWidget

from buswalk.domain.switches.board import MOST_LEVERS
from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.switches.describe_state import DescribeState, FactChoice, ListEntry
from buswalk.ui.pages.switches.describing import LONGEST_NAME
from buswalk.ui.sizes import SPACE_M, SPACE_S
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, ColumnArea, Entry
from buswalk.ui.widgets.labels import Text, caption, sentence

MOST_FACTS, MOST_LISTS = 3, 6
USES_IN_ROW = 2
NUMBER_COLUMNS, NAME_COLUMNS = 5, 20


class DescribeCard(Card):
    """Shows a DescribeState; says what was chosen and written, by its place."""

    fact_chosen = Signal(int, int)
    use_chosen = Signal(int, int)
    list_written = Signal(int, str)

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "Describe this board")
        self._look = look
        self.close_button = Button(look, "Close", ButtonWeight.SMALL, "Esc")
        self.add_to_head(self.close_button)
        content = QWidget()
        content.setAccessibleName("facts of the described board")
        column = QVBoxLayout(content)
        column.setContentsMargins(look.px(6), look.px(4), look.px(6), look.px(4))
        column.setSpacing(look.px(SPACE_S))
        self._facts = tuple(_Captioned(look, Choice(look, "fact")) for _ in range(MOST_FACTS))
        column.addLayout(_side_by_side(look, *self._facts))
        column.addLayout(self._uses_grid())
        self._lists = tuple(_Captioned(look, Entry(look, "values")) for _ in range(MOST_LISTS))
        for one in self._lists:
            column.addWidget(one)
        self.adds, self.base = Entry(look, "board adds", NUMBER_COLUMNS), Entry(look, "stored base", NUMBER_COLUMNS)
        adds = _Captioned(look, self.adds, "Board adds")
        base = _Captioned(look, self.base, "Stored base, if there is one")
        column.addLayout(_side_by_side(look, adds, base))
        column.addStretch(1)
        self.body.addWidget(content if narrow is Narrow.YES else ColumnArea("facts of the described board", content), 1)
        self._add_keeping()
        self._connect()

    def _uses_grid(self) -> QGridLayout:
        look = self._look
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(SPACE_S))
        grid.setVerticalSpacing(look.px(4))
        self._labels = tuple(Text(look, look.regular(13)) for _ in range(MOST_LEVERS))
        self._uses = tuple(Choice(look, "use") for _ in range(MOST_LEVERS))
        for at, (label, use) in enumerate(zip(self._labels, self._uses, strict=True)):
            row, place = divmod(at, USES_IN_ROW)
            grid.addWidget(label, row, 2 * place)
            grid.addWidget(use, row, 2 * place + 1, Qt.AlignmentFlag.AlignLeft)
        grid.setColumnStretch(2 * USES_IN_ROW, 1)
        return grid

    def _add_keeping(self) -> None:
        look = self._look
        self._summary, self._trouble = sentence(look), sentence(look)
        self.name = Entry(look, "name of the board", NAME_COLUMNS)
        self.name.setMaxLength(2 * LONGEST_NAME)
        self._note = caption(look)
        self._note.setWordWrap(True)
        self.keep = Button(look, "Keep this board", ButtonWeight.NORMAL, "Enter")
        self.undo = Button(look, "Undo changes", ButtonWeight.NORMAL)
        for one in (self._summary, self._trouble):
            self.body.addWidget(one)
        self.body.addWidget(_Captioned(look, self.name, "Name, as plans and commands are to call it"))
        self.body.addWidget(self._note)
        self.body.addWidget(button_row(look, self.keep, self.undo))

    def _connect(self) -> None:
        for at, fact in enumerate(self._facts):
            fact.choice.activated.connect(lambda value, at=at: self.fact_chosen.emit(at, value))
        for at, use in enumerate(self._uses):
            use.activated.connect(lambda value, at=at: self.use_chosen.emit(at, value))
        for at, values in enumerate(self._lists):
            values.entry.textEdited.connect(lambda text, at=at: self.list_written.emit(at, text))
        self.name.returnPressed.connect(self.keep.click)

    def show_described(self, state: DescribeState) -> None:
        """Show what the board is."""
        for at, fact in enumerate(self._facts):
            fact.show_fact(state.facts[at] if at < len(state.facts) else None)
        for at, (label, use) in enumerate(zip(self._labels, self._uses, strict=True)):
            is_there = at < len(state.uses)
            label.setVisible(is_there)
            use.setVisible(is_there)
            if is_there:
                label.show_text(state.uses[at].caption)
                _fill(use, state.uses[at])
        for at, values in enumerate(self._lists):
            values.show_list(state.lists[at] if at < len(state.lists) else None)
        for entry, text in ((self.adds, state.adds), (self.base, state.base), (self.name, state.name)):
            _write(entry, text)
        self._summary.show_text(state.summary, Tone.INK)
        self._trouble.show_text(state.trouble, Tone.DOUBT)
        self._trouble.setVisible(bool(state.trouble))
        self._note.show_text(state.name_note, Tone.DOUBT)
        self._note.setVisible(bool(state.name_note))
        if state.can_undo:
            self.undo.allow()
        else:
            self.undo.refuse("nothing is changed")

    def choice(self, at: int) -> Choice:
        """The list of one fact."""
        return self._facts[at].choice

    def use(self, at: int) -> Choice:
        """The list of what one lever is for."""
        return self._uses[at]

    def values(self, at: int) -> Entry:
        """The entry of one list."""
        return self._lists[at].entry


class _Captioned(QWidget):
    """An entry or a list box under its caption."""

    def __init__(self, look: Look, widget: Choice | Entry, words: str = "") -> None:
        super().__init__()
        self._widget = widget
        self._caption = caption(look, words)
        self.setAccessibleName(words or "no value")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(2))
        column.addWidget(self._caption)
        column.addWidget(widget)

    @property
    def choice(self) -> Choice:
        """Its list box."""
        assert isinstance(self._widget, Choice)
        return self._widget

    @property
    def entry(self) -> Entry:
        """Its entry."""
        assert isinstance(self._widget, Entry)
        return self._widget

    def show_fact(self, fact: FactChoice | None) -> None:
        """Show a fact, or nothing."""
        self.setVisible(fact is not None)
        if fact is not None:
            self._call(fact.caption)
            _fill(self.choice, fact)

    def show_list(self, values: ListEntry | None) -> None:
        """Show a list, or nothing."""
        self.setVisible(values is not None)
        if values is not None:
            self._call(values.caption)
            _write(self.entry, values.text)

    def _call(self, words: str) -> None:
        self._caption.show_text(words)
        self.setAccessibleName(words)
        self._widget.setAccessibleName(words)


def _fill(choice: Choice, fact: FactChoice) -> None:
    choice.setAccessibleName(fact.caption)
    choice.show_choices(fact.values)
    choice.show_chosen(fact.chosen)


def _write(entry: QLineEdit, text: str) -> None:
    """Show a value; what is being written is left alone."""
    if not entry.hasFocus() and entry.text() != text:
        entry.setText(text)


def _side_by_side(look: Look, *parts: QWidget) -> QLayout:
    row = QHBoxLayout()
    row.setSpacing(look.px(SPACE_M))
    for part in parts:
        row.addWidget(part)
    row.addStretch(1)
    return row
