"""Where the words of a mark are typed: a line at the foot of the page, not a dialog."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from buswalk.ui.look import Look
from buswalk.ui.sizes import SPACE_M, SPACE_S
from buswalk.ui.widgets.button import Button
from buswalk.ui.widgets.entries import Entry
from buswalk.ui.widgets.labels import heading


class MarkBar(QWidget):
    """Enter keeps the mark, Esc leaves it."""

    kept = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setAccessibleName("mark")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        row = QHBoxLayout(self)
        row.setContentsMargins(look.px(SPACE_M), look.px(SPACE_S), look.px(SPACE_M), look.px(SPACE_S))
        row.setSpacing(look.px(SPACE_S))
        self._label = heading(look, "Mark")
        self._entry = Entry(look, "words of the mark")
        keep = Button(look, "Keep mark", key="Enter")
        leave = Button(look, "Leave", key="Esc")
        for one in (self._label, self._entry, keep, leave):
            row.addWidget(one)
        self._entry.returnPressed.connect(self._keep)
        keep.clicked.connect(lambda _checked=False: self._keep())
        leave.clicked.connect(lambda _checked=False: self.hide())
        self.hide()

    def begin(self, at: str) -> None:
        """Ask for the words of the mark of this moment."""
        self._label.show_text(f"Mark at {at}" if at else "Mark")
        self._entry.clear()
        self.show()
        self._entry.setFocus()

    def _keep(self) -> None:
        self.hide()
        self.kept.emit(self._entry.text())
