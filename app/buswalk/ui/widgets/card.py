"""A card: what belongs together on a page, on panel, with a title and what stands at its right."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.sizes import RADIUS, SPACE_M, SPACE_S
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.labels import caption, heading


class Card(QWidget):
    """Put content into `body`; a table that reaches the edges goes into `body` of a card with no margins."""

    def __init__(self, look: Look, title: str, aside: str = "") -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName(title)
        column = QVBoxLayout(self)
        column.setContentsMargins(look.px(SPACE_M), look.px(SPACE_S), look.px(SPACE_M), look.px(SPACE_S))
        column.setSpacing(look.px(4))
        self._head = QHBoxLayout()
        self._head.setSpacing(look.px(SPACE_S))
        self._title = heading(look, title)
        self._aside = caption(look, aside)
        self._head.addWidget(self._title)
        self._head.addStretch(1)
        self._head.addWidget(self._aside)
        column.addLayout(self._head)
        self.body = QVBoxLayout()
        self.body.setSpacing(look.px(4))
        column.addLayout(self.body, 1)
        self._title.setVisible(bool(title))
        self._aside.setVisible(bool(aside))

    def show_title(self, title: str) -> None:
        """Change the title."""
        self._title.show_text(title)
        self._title.setVisible(bool(title))
        self.setAccessibleName(title)

    def show_aside(self, words: str, tone: Tone = Tone.INK2) -> None:
        """Change the words at the right of the title."""
        self._aside.show_text(words, tone)
        self._aside.setVisible(bool(words))

    def add_to_head(self, widget: QWidget, stretch: int = 0) -> None:
        """Put a small button or the like at the right of the title; one that stretches takes what the title leaves."""
        self._head.addWidget(widget, stretch)

    def let_body_reach_edges(self) -> None:
        """Give the body the full width, for a table under a title."""
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        side = self._look.px(SPACE_M)
        column.setContentsMargins(1, self._look.px(SPACE_S) if self._title.text() else 1, 1, 1)
        self._head.setContentsMargins(side - 1, 0, side - 1, 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw panel and hair."""
        paint_card(self, self._look)


def paint_card(widget: QWidget, look: Look) -> None:
    """Draw a card's ground under any widget."""
    painter = QPainter(widget)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(look.colours.hair)))
    painter.setBrush(QColor(look.colours.panel))
    radius = RADIUS * look.factor
    painter.drawRoundedRect(QRectF(widget.rect()).adjusted(0.5, 0.5, -0.5, -0.5), radius, radius)
