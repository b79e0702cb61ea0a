"""A choice of a few words side by side, such as Search | Ping: views of one page, or a speed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPen, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from buswalk.ui.look import Look
from buswalk.ui.sizes import TEXT

_ARROWS = {Qt.Key.Key_Left: -1, Qt.Key.Key_Up: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Down: 1}


class Segment(QWidget):
    """One of several words is chosen. Tab reaches the chosen one, arrows choose the next."""

    chosen = Signal(int)

    def __init__(self, look: Look, name: str, words: Sequence[str], height: int = 32) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        self._parts = tuple(_Part(look, name, one, height) for one in words)
        for i, part in enumerate(self._parts):
            row.addWidget(part)
            part.clicked.connect(lambda _checked=False, at=i: self._choose(at))
            part.moved.connect(lambda step, at=i: self._choose(at + step))
        self._index = 0
        self.show_chosen(0)

    def showEvent(self, event: QShowEvent) -> None:
        """Keep the words together for Tab: where a segment gets into a window only its first part keeps its place."""
        super().showEvent(event)
        for part, following in pairwise(self._parts):
            QWidget.setTabOrder(part, following)

    @property
    def index(self) -> int:
        """Which one is chosen, from 0."""
        return self._index

    def show_chosen(self, index: int) -> None:
        """Show another one as chosen, without saying that the user did it."""
        self._index = index
        for i, part in enumerate(self._parts):
            part.setChecked(i == index)
            part.setFocusPolicy(Qt.FocusPolicy.StrongFocus if i == index else Qt.FocusPolicy.ClickFocus)

    def part(self, index: int) -> QPushButton:
        """The button of one word, for the order of Tab and for tests."""
        return self._parts[index]

    def _choose(self, index: int) -> None:
        if not 0 <= index < len(self._parts):
            return
        had_focus = any(part.hasFocus() for part in self._parts)
        is_new = index != self._index
        self.show_chosen(index)
        if had_focus:
            self._parts[index].setFocus(Qt.FocusReason.OtherFocusReason)
        if is_new:
            self.chosen.emit(index)


class _Part(QPushButton):
    """One word of a segment."""

    moved = Signal(int)

    def __init__(self, look: Look, group: str, words: str, height: int) -> None:
        super().__init__()
        self._look = look
        self._words = words
        self.setCheckable(True)
        self.setAccessibleName(words)
        self.setAccessibleDescription(group)
        self.setFixedHeight(look.px(height))
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Wide enough for the word in bold, so that nothing moves when it is chosen."""
        width = QFontMetrics(self._look.bold(TEXT)).horizontalAdvance(self._words)
        return QSize(width + 2 * self._look.px(13), self.height())

    def nextCheckState(self) -> None:
        """Leave it to the segment: pressing the chosen one changes nothing."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows choose the neighbour."""
        step = _ARROWS.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self.moved.emit(step)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw box and word; chosen is solid and bold."""
        colours = self._look.colours
        painter = QPainter(self)
        is_chosen = self.isChecked()
        painter.setPen(QPen(QColor(colours.edge)))
        painter.setBrush(QColor(colours.solid if is_chosen else colours.panel))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.setFont(self._look.bold(TEXT) if is_chosen else self._look.regular(TEXT))
        painter.setPen(QColor(colours.onsolid if is_chosen else colours.ink))
        painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), self._words)
