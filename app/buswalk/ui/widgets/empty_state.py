"""An empty page: what will stand here, one fact, one button, what it will not do, and a quiet drawing of the pair."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.empty_words import EmptyWords
from buswalk.ui.look import Look
from buswalk.ui.shapes.signs import draw_pair_lying
from buswalk.ui.sizes import KEY_VALUE_TEXT, SPACE_M, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import paint_card
from buswalk.ui.widgets.labels import Text


class EmptyState(QWidget):
    """Draws EmptyWords; `button` is for the page to connect."""

    def __init__(self, look: Look, words: EmptyWords) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName(words.will_stand)
        self.button = Button(look, words.button, ButtonWeight.MAIN, words.key)
        column = QVBoxLayout(self)
        column.setContentsMargins(look.px(24), look.px(64), look.px(24), look.px(24))
        column.setSpacing(look.px(SPACE_M))
        column.addStretch(1)
        for font, text, tone in (
            (look.bold(KEY_VALUE_TEXT), words.will_stand, Tone.INK),
            (look.regular(TEXT), words.fact, Tone.INK2),
        ):
            line = Text(look, font, text, tone).wrapped()
            line.setAlignment(Qt.AlignmentFlag.AlignHCenter)
            column.addWidget(line)
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(self.button)
        row.addStretch(1)
        column.addLayout(row)
        will_not = Text(look, look.regular(TEXT), words.will_not, Tone.INK2).wrapped()
        will_not.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(will_not)
        column.addStretch(2)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the card and the pair."""
        paint_card(self, self._look)
        width = self._look.px(160)
        box = QRectF((self.width() - width) / 2.0, self._look.px(36), width, self._look.px(9))
        draw_pair_lying(QPainter(self), self._look.colours, box)
