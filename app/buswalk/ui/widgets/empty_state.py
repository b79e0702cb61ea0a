"""An empty page: what will stand here, one fact, one button, what it will not do, and a quiet drawing of the pair."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
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
        self._column = column
        column.setSpacing(look.px(SPACE_M))
        column.addStretch(1)
        self._lines: list[Text] = []
        for font, text, tone in (
            (look.bold(KEY_VALUE_TEXT), words.will_stand, Tone.INK),
            (look.regular(TEXT), words.fact, Tone.INK2),
        ):
            line = Text(look, font, text, tone).wrapped()
            line.setAlignment(Qt.AlignmentFlag.AlignHCenter)
            column.addWidget(line)
            self._lines.append(line)
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(self.button)
        row.addStretch(1)
        column.addLayout(row)
        will_not = Text(look, look.regular(TEXT), words.will_not, Tone.INK2).wrapped()
        will_not.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(will_not)
        column.addStretch(2)
        self._lines.append(will_not)
        self._is_low = False
        self._leave_room()

    def _leave_room(self) -> None:
        """Where a band leaves little height, the drawing and the second lines give way: nothing is cut."""
        px = self._look.px
        top, bottom = (12, 8) if self._is_low else (64, 24)
        self._column.setContentsMargins(px(24), px(top), px(24), px(bottom))
        for line in self._lines[1:]:
            line.setVisible(not self._is_low)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """See whether all of it has room."""
        super().resizeEvent(event)
        width = self.width() - 2 * self._look.px(24)
        words = sum(line.heightForWidth(width) for line in self._lines)
        needed = words + self.button.sizeHint().height() + self._look.px(64 + 24 + 5 * SPACE_M)
        is_low = self.height() < needed
        if is_low != self._is_low:
            self._is_low = is_low
            self._leave_room()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the card and the pair."""
        paint_card(self, self._look)
        if self._is_low:
            return
        width = self._look.px(160)
        box = QRectF((self.width() - width) / 2.0, self._look.px(36), width, self._look.px(9))
        draw_pair_lying(QPainter(self), self._look.colours, box)
