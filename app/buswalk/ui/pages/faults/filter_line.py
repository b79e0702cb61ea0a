"""The filter line: six choices side by side, in two rows where there is little room, and a button that clears them."""

from __future__ import annotations

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.faults.faults_state import FilterChoice
from buswalk.ui.pages.faults.filter_desk import NAMES
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import SMALL_BUTTON, SPACE_S
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.entries import Choice

A_ROW_NARROW = 3


class FilterLine(QWidget):
    """Tells which choice was changed, and to what."""

    chosen = Signal(int, int)
    cleared = Signal()

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
