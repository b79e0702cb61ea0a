"""The shape of each state of an address, in a square cell of any size."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPolygonF

from buswalk.ui.address_states import AddressState
from buswalk.ui.look import Look, pen
from buswalk.ui.sizes import FOCUS_GAP, FOCUS_RING

INSET = 1.0 / 20.0
CORNER = 0.34
CORNER_GAP = 2.5
FILLED_FROM_LEFT, FILLED_FROM_RIGHT = 0.63, 0.83
"""The sloping top of the half-full cup, from the top of the cell."""
NARROWEST_TWO, NARROWEST_THREE = 0.87, 0.72
"""How far figures may be narrowed in wide faces."""
JAG_HEIGHT = 4.0
"""How far the jag of a disturbed address reaches above and below its dash, at 100 %."""
ALIKE_APART = 2.2
"""How far each of the two dashes of 'all alike' stands from the middle, at 100 %."""


def draw_address(painter: QPainter, look: Look, state: AddressState, cell: QRectF, number: int | None) -> None:
    """Draw a cell; `number` is left out in tables and legends, where it stands beside the shape."""
    text = "" if number is None else str(number)
    box = cell.adjusted(cell.width() * INSET, cell.height() * INSET, -cell.width() * INSET, -cell.height() * INSET)
    match state:
        case AddressState.NOT_ASKED:
            _dot(painter, look, cell)
        case AddressState.TO_ASK:
            _outlined(painter, look, box, text)
        case AddressState.SILENT:
            _dash(painter, look, cell)
        case AddressState.ANSWERED:
            painter.fillRect(box, QColor(look.colours.solid))
            _write(painter, look.bold(_size(box, look)), look.colours.onsolid, box, text)
        case AddressState.NOT_IN_PLAN:
            _cut_corner(painter, look, box, text)
        case AddressState.IN_DOUBT:
            _half_full(painter, look, box, text)
        case AddressState.PLANNED_SILENT:
            _open_cup(painter, look, box, text)
        case AddressState.DISTURBED:
            _jagged_dash(painter, look, cell)
        case AddressState.ALL_ALIKE:
            _dash(painter, look, cell.translated(0, -ALIKE_APART * look.factor))
            _dash(painter, look, cell.translated(0, ALIKE_APART * look.factor))
        case AddressState.NO_DEVICE_ADDRESS:
            third = cell.width() * 0.25
            painter.setPen(pen(look.colours.hair, 1.0))
            painter.drawLine(
                cell.bottomLeft() + QPointF(third, -third),
                cell.topRight() + QPointF(-third, third),
            )


def draw_asked_now(painter: QPainter, look: Look, cell: QRectF) -> None:
    """Draw four corner brackets around whatever is in the cell."""
    arm = cell.width() * 0.36
    box = cell.adjusted(-look.factor, -look.factor, look.factor, look.factor)
    painter.setPen(pen(look.colours.ink, 2.0 * look.factor))
    for corner, x, y in (
        (box.topLeft(), 1, 1),
        (box.topRight(), -1, 1),
        (box.bottomLeft(), 1, -1),
        (box.bottomRight(), -1, -1),
    ):
        path = QPolygonF([corner + QPointF(x * arm, 0), corner, corner + QPointF(0, y * arm)])
        painter.drawPolyline(path)


def draw_focus(painter: QPainter, look: Look, box: QRectF) -> None:
    """Draw the focus ring round a box, with its gap; for things that draw their own, last of all."""
    away = (FOCUS_GAP + FOCUS_RING / 2.0) * look.factor
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(look.colours.focus, FOCUS_RING * look.factor))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(box.adjusted(-away, -away, away, away), 4 * look.factor, 4 * look.factor)


def _size(box: QRectF, look: Look) -> float:
    """Return the size of figures at 100 %: 10 px in a cell of 20, 21 px in one of 60."""
    return 4.5 + 0.275 * (box.width() / (1 - 2 * INSET)) / look.factor


def _write(painter: QPainter, font: QFont, value: str, box: QRectF, text: str) -> None:
    """Write figures in the middle, narrowed as far as they may be where the face is wide."""
    if not text:
        return
    painter.save()
    painter.setFont(font)
    painter.setPen(QColor(value))
    width = QFontMetricsF(font).horizontalAdvance(text)
    least = NARROWEST_THREE if len(text) > 2 else NARROWEST_TWO
    narrowed = max(least, min(1.0, (box.width() - 1.0) / max(width, 1.0)))
    painter.translate(box.center())
    painter.scale(narrowed, 1.0)
    wide = QRectF(-box.width(), -box.height() / 2.0, 2 * box.width(), box.height())
    painter.drawText(wide, int(Qt.AlignmentFlag.AlignCenter), text)
    painter.restore()


def _dot(painter: QPainter, look: Look, cell: QRectF) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(look.colours.edge))
    radius = 1.6 * look.factor
    painter.drawEllipse(cell.center(), radius, radius)
    painter.restore()


def _dash(painter: QPainter, look: Look, cell: QRectF) -> None:
    half = 4.5 * look.factor
    painter.setPen(pen(look.colours.edge, 1.6 * look.factor))
    middle = cell.center()
    painter.drawLine(middle - QPointF(half, 0), middle + QPointF(half, 0))


def _jagged_dash(painter: QPainter, look: Look, cell: QRectF) -> None:
    """Draw a dash with a jag in it: the line did not stay flat."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(look.colours.doubt.mark, 1.6 * look.factor))
    points = ((-6.0, 0.0), (-3.0, 0.0), (-1.5, -JAG_HEIGHT), (1.5, JAG_HEIGHT), (3.0, 0.0), (6.0, 0.0))
    painter.drawPolyline(QPolygonF([cell.center() + QPointF(x, y) * look.factor for x, y in points]))
    painter.restore()


def _outlined(painter: QPainter, look: Look, box: QRectF, text: str) -> None:
    painter.setPen(pen(look.colours.edge, 1.2 * look.factor))
    painter.setBrush(QColor(look.colours.panel))
    painter.drawRect(box.adjusted(0.6, 0.6, -0.6, -0.6))
    _write(painter, look.regular(_size(box, look)), look.colours.ink2, box, text)


def _cut_corner(painter: QPainter, look: Look, box: QRectF, text: str) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    apart = CORNER_GAP * look.factor / 2.0**0.5
    cut, corner = box.width() * CORNER + apart, box.width() * CORNER - apart
    painter.setBrush(QColor(look.colours.solid))
    painter.drawPolygon(
        QPolygonF(
            [
                box.topLeft(),
                box.topRight() - QPointF(cut, 0),
                box.topRight() + QPointF(0, cut),
                box.bottomRight(),
                box.bottomLeft(),
            ]
        )
    )
    painter.setBrush(QColor(look.colours.doubt.mark))
    painter.drawPolygon(
        QPolygonF([box.topRight() - QPointF(corner, 0), box.topRight(), box.topRight() + QPointF(0, corner)])
    )
    painter.restore()
    _write(painter, look.bold(_size(box, look)), look.colours.onsolid, box, text)


def _half_full(painter: QPainter, look: Look, box: QRectF, text: str) -> None:
    line = 2.0 * look.factor
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(box, QColor(look.colours.doubt.tint))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(look.colours.doubt.mark))
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(box.left(), box.top() + box.height() * FILLED_FROM_LEFT),
                QPointF(box.right(), box.top() + box.height() * FILLED_FROM_RIGHT),
                box.bottomRight(),
                box.bottomLeft(),
            ]
        )
    )
    painter.setPen(pen(look.colours.doubt.mark, line))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box.adjusted(line / 2, line / 2, -line / 2, -line / 2))
    painter.restore()
    raised = box.adjusted(0, 0, 0, -box.height() * 0.16)
    _write(painter, look.bold(_size(box, look)), look.colours.ink, raised, text)


def _open_cup(painter: QPainter, look: Look, box: QRectF, text: str) -> None:
    line = 2.0 * look.factor
    painter.fillRect(box, QColor(look.colours.fault.tint))
    painter.setPen(pen(look.colours.fault.mark, line))
    inner = box.adjusted(line / 2, 0, -line / 2, -line / 2)
    painter.drawPolyline(QPolygonF([inner.topLeft(), inner.bottomLeft(), inner.bottomRight(), inner.topRight()]))
    _write(painter, look.bold(_size(box, look)), look.colours.ink, box, text)
