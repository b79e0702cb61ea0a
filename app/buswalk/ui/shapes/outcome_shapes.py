"""The shape of each outcome on the wire. `at` is the left edge of the shape and the wire; up is negative.

Lengths are px of a strip 56 high; `scale` makes them larger or smaller as a whole.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen, QPolygonF

from buswalk.ui.look import pen
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.palettes import Colours

WIRE_WIDTH = 1.4
TABLE_SCALE = 0.8
TABLE_WIRE = 30.0
PEG_WIDTH = 9.0
WAIT_WIDTH = 21.0
STOPPED_CUT = 66.0
_DIGIT_SIZE = 10.5


@dataclass(frozen=True, slots=True)
class Extent:
    """How far a shape reaches: to the right of its left edge, above the wire (negative) and below it."""

    width: float
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """What a shape is drawn with.

    Attributes:
        scale: 1 on a strip 56 high.
        exception_code: Written into the square of a refusal.
        wait_width: How long the dashes of a wait are, as drawn (not scaled).
    """

    colours: Colours
    scale: float = 1.0
    exception_code: int = 0
    wait_width: float = 0.0

    @property
    def wait(self) -> float:
        """Length of the dashes of a wait."""
        return self.wait_width or WAIT_WIDTH * self.scale


_EXTENTS = {
    OutcomeKind.ANSWERED: Extent(13, 0, 13),
    OutcomeKind.REFUSED: Extent(13, 0, 13),
    OutcomeKind.DAMAGED: Extent(15, 0, 15),
    OutcomeKind.CUT_SHORT: Extent(6.5, 0, 13),
    OutcomeKind.NO_REPLY: Extent(WAIT_WIDTH, -7, 9.2),
    OutcomeKind.SILENT_AS_EXPECTED: Extent(WAIT_WIDTH, 0, 8.7),
    OutcomeKind.LATE_REPLY: Extent(20, -7, 11),
    OutcomeKind.FOREIGN_REPLY: Extent(13, -12, 12),
    OutcomeKind.FOREIGN_FRAME: Extent(13, -12, 12),
    OutcomeKind.OWN_ECHO_ONLY: Extent(9, 0, 15),
    OutcomeKind.DAMAGED_ECHO: Extent(9, 0, 15),
    OutcomeKind.NOT_SENT: Extent(9, -15, 0),
    OutcomeKind.TO_ALL: Extent(17, -15, 0),
    OutcomeKind.WRONG_CONTENT: Extent(13, 0, 13),
    OutcomeKind.STRAY_BYTE: Extent(10, -5, 5),
    OutcomeKind.STOPPED: Extent(16, -6, 6),
}


def extent_of(kind: OutcomeKind) -> Extent:
    """Return how far the shape of a kind reaches at scale 1."""
    return _EXTENTS[kind]


def draw_wire(painter: QPainter, colours: Colours, from_x: float, to_x: float, wire_y: float) -> None:
    """Draw a piece of the wire."""
    painter.setPen(pen(colours.ink2, WIRE_WIDTH))
    painter.drawLine(QPointF(from_x, wire_y), QPointF(to_x, wire_y))


def draw_request(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    """Draw the peg above the wire that every request is."""
    _fill(painter, drawing.colours.ink3, _placed(_peg(-1.0), at, drawing.scale))


def draw_outcome(painter: QPainter, kind: OutcomeKind, at: QPointF, drawing: Drawing) -> None:
    """Draw what came back; NOT_SENT and TO_ALL stand in place of the request's peg."""
    _DRAWERS[kind](painter, at, drawing)


def draw_in_table(painter: QPainter, kind: OutcomeKind, cell: QRectF, drawing: Drawing) -> None:
    """Draw a shape 0.8 large, centred in a cell, with 30 px of wire through it; `drawing.scale` is the text size."""
    factor = drawing.scale
    small = Drawing(drawing.colours, factor * TABLE_SCALE, drawing.exception_code)
    extent = extent_of(kind)
    wire_y = cell.center().y() - (extent.top + extent.bottom) / 2.0 * small.scale
    left = cell.center().x() - extent.width / 2.0 * small.scale
    half = TABLE_WIRE * factor / 2.0
    middle = cell.center().x()
    if kind is OutcomeKind.STOPPED:
        half_cut = extent.width / 2.0 * small.scale
        draw_wire(painter, drawing.colours, middle - half, middle - half_cut, wire_y)
        draw_wire(painter, drawing.colours, middle + half_cut, middle + half, wire_y)
    else:
        draw_wire(painter, drawing.colours, middle - half, middle + half, wire_y)
    draw_outcome(painter, kind, QPointF(left, wire_y), small)


def draw_cut(painter: QPainter, at: QPointF, width: float, drawing: Drawing) -> None:
    """Draw the two slants between which the wire is cut; the wire itself is left out by who draws it."""
    painter.setPen(pen(drawing.colours.ink2, WIRE_WIDTH))
    for x in (at.x(), at.x() + width):
        lean, half = 2.0 * drawing.scale, 5.5 * drawing.scale
        painter.drawLine(QPointF(x - lean, at.y() + half), QPointF(x + lean, at.y() - half))


def _placed(shape: QPolygonF | QPainterPath, at: QPointF, scale: float) -> QPainterPath:
    path = shape if isinstance(shape, QPainterPath) else _closed(shape)
    moved = QPainterPath()
    for i in range(path.elementCount()):
        element = path.elementAt(i)
        point = QPointF(at.x() + element.x * scale, at.y() + element.y * scale)
        if element.isMoveTo():
            moved.moveTo(point)
        elif element.isLineTo():
            moved.lineTo(point)
        elif element.isCurveTo():
            second, third = path.elementAt(i + 1), path.elementAt(i + 2)
            moved.cubicTo(
                point,
                QPointF(at.x() + second.x * scale, at.y() + second.y * scale),
                QPointF(at.x() + third.x * scale, at.y() + third.y * scale),
            )
    return moved


def _closed(polygon: QPolygonF) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(polygon)
    path.closeSubpath()
    return path


def _polygon(*points: tuple[float, float]) -> QPolygonF:
    return QPolygonF([QPointF(x, y) for x, y in points])


def _peg(point_y: float) -> QPolygonF:
    """Return the request's peg; with a positive `point_y` it is mirrored below the wire."""
    sign = -1.0 if point_y < 0 else 1.0
    return _polygon((0, 15 * sign), (9, 15 * sign), (9, 6 * sign), (4.5, point_y), (0, 6 * sign))


def _cup(width: float, depth: float) -> QPainterPath:
    """Return a half ellipse hanging from the wire."""
    path = QPainterPath(QPointF(0, 0))
    path.arcTo(QRectF(0, -depth, width, 2 * depth), 180.0, 180.0)
    path.closeSubpath()
    return path


def _fill(painter: QPainter, value: str, path: QPainterPath) -> None:
    painter.fillPath(path, QColor(value))


def _outline(painter: QPainter, drawn: QPen, path: QPainterPath) -> None:
    painter.setPen(drawn)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(path)


def _answered(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    _fill(painter, drawing.colours.ink2, _placed(_cup(13, 13), at, drawing.scale))


def _refused(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    side = 13 * drawing.scale
    box = QRectF(at.x(), at.y(), side, side)
    painter.fillRect(box, QColor(drawing.colours.refuse.mark))
    if not drawing.exception_code:
        return
    font = QFont()
    font.setBold(True)
    digits = str(drawing.exception_code)
    font.setPixelSize(max(1, round(_DIGIT_SIZE * drawing.scale * (1.0, 0.82, 0.6)[min(len(digits), 3) - 1])))
    painter.setFont(font)
    painter.setPen(QColor(drawing.colours.panel))
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip), digits)


def _damaged(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    torn = _polygon((0, 0), (15, 0), (15, 8), (12.5, 15), (10, 9), (7.5, 15), (5, 9), (2.5, 15), (0, 8))
    _fill(painter, drawing.colours.fault.mark, _placed(torn, at, drawing.scale))


def _cut_short(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    half = QPainterPath(QPointF(0, 0))
    half.arcTo(QRectF(0, -13, 13, 26), 180.0, 90.0)
    half.lineTo(6.5, 0)
    half.closeSubpath()
    _fill(painter, drawing.colours.fault.mark, _placed(half, at, drawing.scale))


def _wrong_content(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    cup = _cup(13, 13)
    gap = QPainterPath()
    gap.addRect(QRectF(-1, 5, 15, 3))
    _fill(painter, drawing.colours.fault.mark, _placed(cup.subtracted(gap), at, drawing.scale))


def _no_reply(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    _waited(painter, at, drawing, pen(drawing.colours.doubt.mark, 2.4 * drawing.scale), 7.0)


def _silent(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    _waited(painter, at, drawing, pen(drawing.colours.ink3, 1.3 * drawing.scale), 0.0)


def _waited(painter: QPainter, at: QPointF, drawing: Drawing, drawn: QPen, above: float) -> None:
    """Draw the dashes of a wait and the upright that ends it, reaching so far above the wire."""
    low = at.y() + 8 * drawing.scale
    end = at.x() + drawing.wait - drawn.widthF() / 2.0
    dashes = QPen(drawn)
    dashes.setDashPattern([2.5, 1.5] if above else [2.0, 1.4])
    painter.setPen(dashes)
    painter.drawLine(QPointF(at.x(), low), QPointF(end, low))
    painter.setPen(drawn)
    painter.drawLine(QPointF(end, low + drawn.widthF() / 2.0), QPointF(end, at.y() - above * drawing.scale))


def _late(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    scale = drawing.scale
    drawn = pen(drawing.colours.doubt.mark, 2.0 * scale)
    _waited(painter, at, Drawing(drawing.colours, scale, 0, 7.5 * scale), drawn, 7.0)
    cup = _placed(_cup(9.5, 9.5), QPointF(at.x() + 10 * scale, at.y() + 1 * scale), scale)
    _outline(painter, drawn, cup)


def _foreign(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    slant = _polygon((0, 12), (8, 12), (13, -12), (5, -12))
    _fill(painter, drawing.colours.foreign.mark, _placed(slant, at, drawing.scale))


def _own_echo(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    peg = _polygon((0.75, 14.25), (8.25, 14.25), (8.25, 6.3), (4.5, 1.8), (0.75, 6.3))
    _outline(painter, pen(drawing.colours.ink3, 1.5 * drawing.scale), _placed(peg, at, drawing.scale))


def _damaged_echo(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    torn = _polygon((0.8, 6.3), (4.5, 1.8), (8.2, 6.3), (8.2, 9.5), (6.4, 14.0), (4.5, 9.5), (2.6, 14.0), (0.8, 9.5))
    _outline(painter, pen(drawing.colours.fault.mark, 1.6 * drawing.scale), _placed(torn, at, drawing.scale))


def _not_sent(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    drawn = pen(drawing.colours.doubt.mark, 1.6 * drawing.scale)
    drawn.setDashPattern([2.0, 1.3])
    peg = _polygon((0.8, -14.2), (8.2, -14.2), (8.2, -6.3), (4.5, -1.8), (0.8, -6.3))
    _outline(painter, drawn, _placed(peg, at, drawing.scale))


def _to_all(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    body = _polygon((4, -15), (13, -15), (13, -4.6), (17, -4.6), (17, -1), (0, -1), (0, -4.6), (4, -4.6))
    _fill(painter, drawing.colours.ink3, _placed(body, at, drawing.scale))


def _stray(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    diamond = _polygon((0, 0), (5, -5), (10, 0), (5, 5))
    _fill(painter, drawing.colours.doubt.mark, _placed(diamond, at, drawing.scale))


def _stopped(painter: QPainter, at: QPointF, drawing: Drawing) -> None:
    draw_cut(painter, at, _EXTENTS[OutcomeKind.STOPPED].width * drawing.scale, drawing)


_DRAWERS: dict[OutcomeKind, Callable[[QPainter, QPointF, Drawing], None]] = {
    OutcomeKind.ANSWERED: _answered,
    OutcomeKind.REFUSED: _refused,
    OutcomeKind.NO_REPLY: _no_reply,
    OutcomeKind.LATE_REPLY: _late,
    OutcomeKind.DAMAGED: _damaged,
    OutcomeKind.CUT_SHORT: _cut_short,
    OutcomeKind.WRONG_CONTENT: _wrong_content,
    OutcomeKind.OWN_ECHO_ONLY: _own_echo,
    OutcomeKind.DAMAGED_ECHO: _damaged_echo,
    OutcomeKind.NOT_SENT: _not_sent,
    OutcomeKind.TO_ALL: _to_all,
    OutcomeKind.FOREIGN_REPLY: _foreign,
    OutcomeKind.FOREIGN_FRAME: _foreign,
    OutcomeKind.STRAY_BYTE: _stray,
    OutcomeKind.STOPPED: _stopped,
    OutcomeKind.SILENT_AS_EXPECTED: _silent,
}
