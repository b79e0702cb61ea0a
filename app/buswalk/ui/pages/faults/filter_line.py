"""The filter line: six choices side by side, in two rows where there is little room, and a button that clears them."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.faults.faults_state import FilterChoice, TypedTimes
from buswalk.ui.pages.faults.filter_desk import NAMES
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import SMALL_BUTTON, SPACE_S
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.entries import Choice, Entry
from buswalk.ui.widgets.labels import caption, sentence

A_ROW_NARROW = 3
TIME_COLUMNS = 17
HINT = "A time alone is of the day on which the record begins; a day is 2026-03-05."


class FilterLine(QWidget):
    """Tells which choice was changed, and to what."""

    chosen = Signal(int, int)
    cleared = Signal()
    typed = Signal(str, str)

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__()
        self.setAccessibleName("what is looked at")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(look.px(SPACE_S))
        self.choices = tuple(_FilterChoice(look, f"filter: {name}") for name in NAMES)
        self.clear = Button(look, "Show all", ButtonWeight.SMALL)
        self.clear.clicked.connect(lambda _checked=False: self.cleared.emit())
        a_row = A_ROW_NARROW if narrow is Narrow.YES else len(NAMES)
        for at, choice in enumerate(self.choices):
            choice.activated.connect(lambda index, place=at: self.chosen.emit(place, index))
            grid.addWidget(choice, at // a_row, at % a_row)
        grid.addWidget(self.clear, 0, a_row)
        self.times = TimesLine(look)
        self.times.typed.connect(self.typed.emit)
        grid.addWidget(self.times, (len(NAMES) - 1) // a_row + 1, 0, 1, a_row + 2)
        grid.setColumnStretch(a_row + 1, 1)

    def show_choices(self, choices: tuple[FilterChoice, ...], *, is_filtered: bool) -> None:
        """Show what is chosen."""
        for widget, one in zip(self.choices, choices, strict=False):
            if not widget.view().isVisible():
                widget.show_choices(one.words)
                widget.show_chosen(one.chosen)
        if is_filtered:
            self.clear.allow()
        else:
            self.clear.refuse("nothing is left out")


class TimesLine(QWidget):
    """Two times, typed; shown only where they are wanted."""

    typed = Signal(str, str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setAccessibleName("times that are looked at")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(2))
        row = QHBoxLayout()
        column.addLayout(row)
        row.setSpacing(look.px(SPACE_S))
        self.start, self.end = Entry(look, "from", TIME_COLUMNS), Entry(look, "to", TIME_COLUMNS)
        self.look_between = Button(look, "Look", ButtonWeight.SMALL, "Enter")
        self._told = sentence(look)
        self.start.setPlaceholderText("08:14 or a day")
        self.end.setPlaceholderText("open")
        for words, entry in (("From", self.start), ("to", self.end)):
            entry.returnPressed.connect(self._type)
            row.addWidget(caption(look, words))
            row.addWidget(entry)
        self.look_between.clicked.connect(lambda _checked=False: self._type())
        row.addWidget(self.look_between)
        row.addStretch(1)
        column.addWidget(self._told)
        self.hide()

    def show_times(self, times: TypedTimes | None) -> None:
        """Show what was typed; what is being typed stays."""
        was_hidden = self.isHidden()
        self.setVisible(times is not None)
        if times is None:
            return
        self._told.show_text(times.told or HINT, Tone.FAULT if times.told else Tone.INK2)
        if was_hidden:
            self.start.setText(times.from_text)
            self.end.setText(times.to_text)
            self.start.setFocus(Qt.FocusReason.OtherFocusReason)

    def _type(self) -> None:
        self.typed.emit(self.start.text(), self.end.text())


class _FilterChoice(Choice):
    """As wide as what is chosen: the longest of its list may be a long name."""

    def __init__(self, look: Look, name: str) -> None:
        super().__init__(look, name)
        self._px = look.px
        self.setFixedHeight(look.px(SMALL_BUTTON))
        self.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
        self.currentTextChanged.connect(lambda _words: self.updateGeometry())

    def sizeHint(self) -> QSize:
        """Wide enough for the chosen words."""
        width = QFontMetrics(self.font()).horizontalAdvance(self.currentText())
        return QSize(width + self._px(44), self._px(SMALL_BUTTON))
