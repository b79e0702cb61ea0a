"""Lines of words, a bar and a figure: what something is spent on. Words and figure say all that the bar says."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from buswalk.ui.look import Look
from buswalk.ui.widgets.labels import Text, caption, sentence

BAR_WIDTH, BAR_HEIGHT = 120, 10
ROW_GAP = 4
FIGURE_WIDTH = 128
"""So wide at least, so that the bars of two lists under each other begin at the same place."""


class ShareBar(QWidget):
    """A bar in ink on hair."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._share = 0.0
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setFixedSize(self.sizeHint())

    def sizeHint(self) -> QSize:
        """Always the same, so that lengths can be compared."""
        return QSize(self._look.px(BAR_WIDTH), self._look.px(BAR_HEIGHT))

    def show_share(self, share: float, words: str) -> None:
        """Show another length; `words` is what it says."""
        self.setAccessibleName(words)
        if share != self._share:
            self._share = share
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the empty part and the full one; what is above nothing is seen."""
        painter = QPainter(self)
        painter.setPen(Qt.PenStyle.NoPen)
        room = QRectF(self.rect())
        painter.fillRect(room, QColor(self._look.colours.hair))
        least = 2.0 * self._look.factor if self._share > 0.0 else 0.0
        room.setWidth(max(least, room.width() * min(1.0, self._share)))
        painter.fillRect(room, QColor(self._look.colours.ink))


class ShareBars(QWidget):
    """As many lines as there are."""

    def __init__(self, look: Look, name: str) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName(name)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(look.px(10))
        self._grid.setVerticalSpacing(look.px(ROW_GAP))
        self._grid.setColumnStretch(0, 1)
        self._grid.setColumnMinimumWidth(2, look.px(FIGURE_WIDTH))
        self._made: list[tuple[Text, ShareBar, Text]] = []

    def show_lines(self, lines: Sequence[tuple[str, float, str]]) -> None:
        """Show lines of words, share and figure."""
        while len(self._made) < len(lines):
            self._made.append(self._line(len(self._made)))
        for at, (words, bar, figure) in enumerate(self._made):
            is_used = at < len(lines)
            for one in (words, bar, figure):
                one.setVisible(is_used)
            if is_used:
                told, share, amount = lines[at]
                words.show_text(told)
                bar.show_share(share, f"{told}: {amount}")
                figure.show_text(amount)

    def _line(self, at: int) -> tuple[Text, ShareBar, Text]:
        made = sentence(self._look), ShareBar(self._look), caption(self._look)
        self._grid.addWidget(made[0], at, 0)
        self._grid.addWidget(made[1], at, 1, Qt.AlignmentFlag.AlignVCenter)
        self._grid.addWidget(made[2], at, 2, Qt.AlignmentFlag.AlignVCenter)
        return made
