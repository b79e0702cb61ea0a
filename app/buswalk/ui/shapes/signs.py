"""Small signs beside words: cross, caution, lock, square of who holds the line, hollow diamond, the pair."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPolygonF

from buswalk.ui.look import pen
from buswalk.ui.palettes import Colours


def draw_cross(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """Means have failed: port gone, record failing."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(colours.fault.mark, max(2.0, box.width() * 0.16)))
    painter.drawLine(box.topLeft(), box.bottomRight())
    painter.drawLine(box.topRight(), box.bottomLeft())


def draw_caution(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """A filled triangle before a sentence of caution."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(colours.doubt.mark))
    painter.drawPolygon(QPolygonF([QPointF(box.center().x(), box.top()), box.bottomRight(), box.bottomLeft()]))


def draw_no_value(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """A hollow diamond before the words 'no value'."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(colours.doubt.mark, 1.6))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    middle = box.center()
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(box.left(), middle.y()),
                QPointF(middle.x(), box.top()),
                QPointF(box.right(), middle.y()),
                QPointF(middle.x(), box.bottom()),
            ]
        )
    )


def draw_held(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """A full square: this laptop holds the line."""
    painter.fillRect(box, QColor(colours.ink))


def draw_lock(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """A closed lock: writing is locked."""
    _draw_lock(painter, colours.ink, box, 0.0)


def draw_open_lock(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """An open lock, its bow beside the body: values can be written."""
    _draw_lock(painter, colours.doubt.mark, box, box.width() * 0.45)


def _draw_lock(painter: QPainter, colour: str, box: QRectF, bow_aside: float) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    body = QRectF(box.left(), box.top() + box.height() * 0.42, box.width(), box.height() * 0.58)
    painter.fillRect(body, QColor(colour))
    shackle = QPainterPath()
    inset = box.width() * 0.17
    bow = QRectF(box.left() + inset + bow_aside, box.top() + 1, box.width() - 2 * inset, box.height() * 0.66)
    shackle.moveTo(bow.left(), body.top())
    shackle.arcTo(bow, 180.0, -180.0)
    shackle.lineTo(bow.right(), body.top())
    painter.setPen(pen(colour, max(1.4, box.width() * 0.15)))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(shackle)
    painter.restore()


def draw_pair_lying(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """Two strokes one above the other: under the program's name and in empty states."""
    stroke = box.height() / 3.0
    painter.fillRect(QRectF(box.left(), box.top(), box.width(), stroke), QColor(colours.ink))
    painter.fillRect(QRectF(box.left(), box.bottom() - stroke, box.width(), stroke), QColor(colours.ink))


def draw_pair_standing(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """Two strokes side by side: where you are in the rail."""
    stroke = box.width() / 3.0
    painter.fillRect(QRectF(box.left(), box.top(), stroke, box.height()), QColor(colours.ink))
    painter.fillRect(QRectF(box.right() - stroke, box.top(), stroke, box.height()), QColor(colours.ink))


def draw_hatch(painter: QPainter, colours: Colours, box: QRectF) -> None:
    """Hatching at 45 degrees on tint: time without a port."""
    painter.save()
    painter.setClipRect(box)
    painter.fillRect(box, QColor(colours.fault.tint))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(colours.fault.mark, 1.2))
    x = box.left() - box.height()
    while x < box.right():
        painter.drawLine(QPointF(x, box.bottom()), QPointF(x + box.height(), box.top()))
        x += 8.0
    painter.restore()
