"""A block as small as a line of text is high: which lever is where, without figures. Dials show their digit."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from buswalk.domain.switches.board import SYMBOLS
from buswalk.domain.switches.geometry import Rectangle
from buswalk.domain.switches.picture import DialPicture, LeverPicture, Picture
from buswalk.ui.look import Look, pen
from buswalk.ui.sizes import VALUE_TEXT

MARK = 2.6
ROOM = 3


class SmallBlock(QWidget):
    """Draws one Picture, as large as it was laid out, cut to its bodies and dials."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._picture: Picture | None = None
        self.setAccessibleName("small picture")

    def show_picture(self, picture: Picture | None) -> None:
        """Show another picture; None hides it."""
        self.setVisible(picture is not None)
        if picture == self._picture:
            return
        self._picture = picture
        if picture is not None:
            area = _area(picture)
            size = QSize(round(area.width() * self._look.factor), round(area.height() * self._look.factor))
            self.setFixedSize(size + QSize(2 * ROOM, 2 * ROOM))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw bodies, levers and dials."""
        if self._picture is None:
            return
        area = _area(self._picture)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(ROOM, ROOM)
        painter.scale(self._look.factor, self._look.factor)
        painter.translate(-area.topLeft())
        colours = self._look.colours
        for body in self._picture.bodies:
            painter.setPen(pen(colours.edge, 1.2))
            painter.setBrush(QColor(colours.bar))
            painter.drawRoundedRect(_rect(body.body), 3, 3)
        for lever in self._picture.levers:
            self._lever(painter, lever)
        for lever in self._picture.levers:
            if lever.is_marked:
                self._mark(painter, _rect(lever.slot))
        for dial in self._picture.dials:
            self._dial(painter, dial)

    def _lever(self, painter: QPainter, lever: LeverPicture) -> None:
        colours = self._look.colours
        painter.setPen(pen(colours.edge, 0.8))
        painter.setBrush(QColor(colours.panel))
        painter.drawRect(_rect(lever.slot))
        if not lever.is_for_address:
            painter.setPen(pen(colours.edge, 0.8))
            slot = _rect(lever.slot)
            painter.drawLine(slot.bottomLeft(), slot.topRight())
        is_filled = lever.is_on and lever.is_for_address
        painter.setPen(pen(colours.ink2, 1.0))
        painter.setBrush(QColor(colours.solid if is_filled else colours.panel))
        painter.drawRect(_rect(lever.knob))

    def _dial(self, painter: QPainter, dial: DialPicture) -> None:
        colours = self._look.colours
        center = QPointF(dial.center.x_mm, dial.center.y_mm)
        outline = QPen(QColor(colours.doubt.mark if dial.is_marked else colours.edge))
        outline.setWidthF(MARK if dial.is_marked else 1.4)
        painter.setPen(outline)
        painter.setBrush(QColor(colours.panel))
        painter.drawEllipse(center, dial.radius_mm, dial.radius_mm)
        font = self._look.bold(VALUE_TEXT)
        font.setPixelSize(VALUE_TEXT)
        painter.setFont(font)
        painter.setPen(QColor(colours.ink))
        painter.drawText(_circle(dial), int(Qt.AlignmentFlag.AlignCenter), SYMBOLS[dial.position])

    def _mark(self, painter: QPainter, slot: QRectF) -> None:
        outline = QPen(QColor(self._look.colours.doubt.mark))
        outline.setWidthF(MARK)
        painter.setPen(outline)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(slot.adjusted(-1, -1, 1, 1))


def _area(picture: Picture) -> QRectF:
    area = QRectF()
    for body in picture.bodies:
        area = area.united(_rect(body.body))
    for dial in picture.dials:
        area = area.united(_circle(dial))
    return area


def _circle(dial: DialPicture) -> QRectF:
    radius = dial.radius_mm
    return QRectF(dial.center.x_mm - radius, dial.center.y_mm - radius, 2 * radius, 2 * radius)


def _rect(one: Rectangle) -> QRectF:
    return QRectF(one.x_mm, one.y_mm, one.width_mm, one.height_mm)
