"""Buttons: a verb with its object, the key beside it. Main, normal and small; disabled ones say why."""

from __future__ import annotations

from enum import Enum

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from buswalk.ui.look import Look
from buswalk.ui.sizes import BUTTON, MAIN_BUTTON, RADIUS, SMALL_BUTTON, TEXT


class ButtonWeight(Enum):
    """How much a button asks for; a page has one main button."""

    MAIN = MAIN_BUTTON
    NORMAL = BUTTON
    SMALL = SMALL_BUTTON

    @property
    def height(self) -> int:
        """At 100 %."""
        return int(self.value)


class Button(QPushButton):
    """A button. `clicked` as in Qt; Enter and Space press it."""

    def __init__(self, look: Look, words: str, weight: ButtonWeight = ButtonWeight.NORMAL, key: str = "") -> None:
        super().__init__()
        self._look = look
        self._words = ""
        self._key = ""
        self._weight = weight
        self.setAutoDefault(True)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(look.px(weight.height))
        self.show_words(words, key)

    def show_words(self, words: str, key: str = "") -> None:
        """Change what the button says it does; nothing if it says so already."""
        if (words, key) == (self._words, self._key):
            return
        self._words, self._key = words, key
        self.setAccessibleName(words)
        self.setAccessibleDescription(f"key {key}" if key else "")
        self.updateGeometry()
        self.update()

    def show_weight(self, weight: ButtonWeight) -> None:
        """Make it the main button, or a normal one."""
        if weight is not self._weight:
            self._weight = weight
            self.setFixedHeight(self._look.px(weight.height))
            self.updateGeometry()
            self.update()

    def allow(self) -> None:
        """Let it be pressed."""
        self.setEnabled(True)
        self.setToolTip("")
        self.setAccessibleDescription(f"key {self._key}" if self._key else "")

    def refuse(self, reason: str) -> None:
        """Disable it and say why."""
        self.setEnabled(False)
        self.setToolTip(reason)
        self.setAccessibleDescription(reason)

    @property
    def words(self) -> str:
        """What it says."""
        return self._words

    def sizeHint(self) -> QSize:
        """Wide enough for words and key."""
        return QSize(self._words_width() + self._key_width() + 2 * self._side(), self._look.px(self._weight.height))

    def minimumSizeHint(self) -> QSize:
        """The same: words of a button are never cut."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw box, words and key; the focus ring is laid over the page by the window."""
        colours = self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        is_main = self._weight is ButtonWeight.MAIN
        outline = QPen(QColor(colours.edge if self.isEnabled() else colours.ink3))
        if not self.isEnabled():
            outline.setStyle(Qt.PenStyle.DashLine)
        fill = colours.solid if is_main and self.isEnabled() else colours.panel
        if self.isDown():
            fill = colours.ink2 if is_main else colours.bar
        elif self.underMouse() and self.isEnabled() and not is_main:
            fill = colours.sunk
        painter.setPen(outline)
        painter.setBrush(QColor(fill))
        radius = RADIUS * self._look.factor
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), radius, radius)
        words = colours.onsolid if is_main and self.isEnabled() else colours.ink
        painter.setPen(QColor(words if self.isEnabled() else colours.ink3))
        self._write(painter)

    def _write(self, painter: QPainter) -> None:
        left = (self.width() - self._words_width() - self._key_width()) // 2
        middle = int(Qt.AlignmentFlag.AlignVCenter)
        painter.setFont(self._words_font().font)
        painter.drawText(left, 0, self._words_width() + 2, self.height(), middle, self._words)
        if self._key:
            painter.drawText(
                left + self._words_width() + self._look.px(8), 0, self._key_width(), self.height(), middle, self._key
            )

    def _words_font(self) -> _Measured:
        is_main = self._weight is ButtonWeight.MAIN
        return _Measured(self._look, is_bold=is_main)

    def _words_width(self) -> int:
        return self._words_font().width(self._words)

    def _key_width(self) -> int:
        return self._words_font().width(self._key) + self._look.px(8) if self._key else 0

    def _side(self) -> int:
        return self._look.px(17 if self._weight is ButtonWeight.MAIN else 13)


class _Measured:
    """The face of a button and how wide words are in it."""

    def __init__(self, look: Look, *, is_bold: bool) -> None:
        self.font = look.bold(TEXT) if is_bold else look.regular(TEXT)
        self._metrics = QFontMetrics(self.font)

    def width(self, words: str) -> int:
        """In px, as drawn."""
        return self._metrics.horizontalAdvance(words)


def button_row(look: Look, *buttons: QWidget) -> QWidget:
    """Return buttons side by side, with the gap they have everywhere."""
    row = QWidget()
    layout = QHBoxLayout(row)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(look.px(10))
    for one in buttons:
        layout.addWidget(one)
    layout.addStretch(1)
    return row
