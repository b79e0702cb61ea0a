"""Draws texts whose figures have a height in millimetres, whatever the face."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QGuiApplication, QPainter

from buswalk.domain.switches.geometry import Align, Text

NARROWEST_PERCENT = 75
LINE_PART = 1.45
"""Distance of two lines of one text, in heights of a figure."""
MEASURED_PX = 200
"""Size at which a face is measured: at sizes of millimetres its measures would be rounded."""


class MmPainter:
    """A painter whose unit is a millimetre."""

    def __init__(self, painter: QPainter, ink: QColor | None = None) -> None:
        self.painter = painter
        self.ink = ink if ink is not None else QColor(Qt.GlobalColor.black)

    def text(self, text: Text, ink: QColor | None = None) -> None:
        """Draw a text; in a room it becomes narrower down to 75 %, and is cut at its end after that."""
        font = QFont(QGuiApplication.font())
        font.setBold(text.is_bold)
        font.setPixelSize(MEASURED_PX)
        font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
        metrics = QFontMetricsF(font)
        # Some faces have figures lower than capitals: the lower of both is what must be high enough.
        scale = text.figure_mm / min(metrics.capHeight(), metrics.tightBoundingRect("1").height())
        for number, line in enumerate(text.lines):
            offset = (number - (len(text.lines) - 1) / 2) * text.figure_mm * LINE_PART
            self._line(line, text, font, scale, text.at.y_mm + offset, ink or self.ink)

    def _line(self, line: str, text: Text, font: QFont, scale: float, middle_mm: float, ink: QColor) -> None:
        metrics = QFontMetricsF(font)
        narrow = 1.0
        if text.room_mm:
            narrow = min(1.0, text.room_mm / max(metrics.horizontalAdvance(line) * scale, 1e-6))
            narrow = max(narrow, NARROWEST_PERCENT / 100)
            line = metrics.elidedText(line, Qt.TextElideMode.ElideRight, text.room_mm / (scale * narrow) + 1.0)
        width_mm = metrics.horizontalAdvance(line) * scale * narrow
        left = {Align.LEFT: 0.0, Align.CENTER: -width_mm / 2, Align.RIGHT: -width_mm}[text.align]
        self.painter.save()
        self.painter.setPen(ink)
        self.painter.setFont(font)
        self.painter.translate(QPointF(text.at.x_mm + left, middle_mm + text.figure_mm / 2))
        self.painter.scale(scale * narrow, scale)
        self.painter.drawText(QPointF(0.0, 0.0), line)
        self.painter.restore()
