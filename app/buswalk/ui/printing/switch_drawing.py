"""Draws a picture of switches, black on white, with a painter whose unit is a millimetre."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPen, QPolygonF, QTransform

from buswalk.domain.switches.geometry import Point, Rectangle
from buswalk.domain.switches.picture import BodyPicture, BodyTone, DialPicture, LeverPicture, Picture
from buswalk.ui.printing.mm_painter import MmPainter

LINE_MM = 0.3
HEAVY_MM = 0.6
MARK_MM = 0.9
HATCH_SCALE = 0.25
BLACK = QColor(Qt.GlobalColor.black)
WHITE = QColor(Qt.GlobalColor.white)
GREY = QColor(210, 210, 210)
DARK = QColor(60, 60, 60)


def draw_picture(drawn: MmPainter, picture: Picture, tone: BodyTone) -> None:
    """Draw all of it, its top left corner at the origin."""
    for body in picture.bodies:
        _body(drawn, body, tone)
    for lever in picture.levers:
        _lever(drawn, lever, tone)
    for dial in picture.dials:
        _dial(drawn, dial)


def _body(drawn: MmPainter, one: BodyPicture, tone: BodyTone) -> None:
    drawn.painter.setPen(QPen(BLACK, HEAVY_MM))
    drawn.painter.setBrush(DARK if tone is BodyTone.WHITE_LEVERS else WHITE)
    drawn.painter.drawRoundedRect(_rect(one.body), 1.0, 1.0)
    _arrow(drawn, one.arrow_from, one.arrow_to)
    drawn.text(one.on)


def _lever(drawn: MmPainter, one: LeverPicture, tone: BodyTone) -> None:
    painter = drawn.painter
    painter.setPen(QPen(BLACK, LINE_MM))
    if one.is_for_address:
        painter.setBrush(BLACK if tone is BodyTone.WHITE_LEVERS else WHITE)
    else:
        painter.setBrush(WHITE)
        painter.drawRect(_rect(one.slot))
        hatch = QBrush(BLACK, Qt.BrushStyle.BDiagPattern)
        hatch.setTransform(QTransform.fromScale(HATCH_SCALE, HATCH_SCALE))
        painter.setBrush(hatch)
    painter.drawRect(_rect(one.slot))
    is_dark = tone is BodyTone.DARK_LEVERS or (tone is BodyTone.FILLED_IS_ON and one.is_on and one.is_for_address)
    painter.setPen(QPen(BLACK, HEAVY_MM))
    painter.setBrush(BLACK if is_dark else WHITE)
    painter.drawRect(_rect(one.knob))
    drawn.text(one.digit, ink=WHITE if is_dark else BLACK)
    drawn.text(one.label)
    drawn.text(one.says)
    if one.is_marked:
        painter.setPen(QPen(BLACK, MARK_MM, Qt.PenStyle.DotLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(_rect(one.slot).adjusted(-1.0, -1.0, 1.0, 1.0))


def _dial(drawn: MmPainter, one: DialPicture) -> None:
    painter = drawn.painter
    center = QPointF(one.center.x_mm, one.center.y_mm)
    painter.setPen(QPen(BLACK, HEAVY_MM))
    painter.setBrush(WHITE)
    painter.drawEllipse(center, one.radius_mm, one.radius_mm)
    angle = math.radians(one.pointer_degrees)
    reach = one.radius_mm * 0.75
    tip = Point(one.center.x_mm + reach * math.sin(angle), one.center.y_mm - reach * math.cos(angle))
    tail = Point(one.center.x_mm - reach * math.sin(angle), one.center.y_mm + reach * math.cos(angle))
    _arrow(drawn, tail, tip)
    for position, digit in enumerate(one.digits):
        is_set = position == one.position
        if is_set:
            side = digit.figure_mm * 1.35
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(BLACK)
            painter.drawRect(QRectF(digit.at.x_mm - side / 2, digit.at.y_mm - side / 2, side, side))
        drawn.text(digit, ink=WHITE if is_set else BLACK)
    drawn.text(one.label)
    drawn.text(one.says)
    if one.is_marked:
        painter.setPen(QPen(BLACK, MARK_MM, Qt.PenStyle.DotLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(center, one.radius_mm + 0.8, one.radius_mm + 0.8)


def _arrow(drawn: MmPainter, begin: Point, end: Point) -> None:
    """Draw a shaft and a head at its end."""
    painter = drawn.painter
    length = math.hypot(end.x_mm - begin.x_mm, end.y_mm - begin.y_mm)
    x, y = (end.x_mm - begin.x_mm) / length, (end.y_mm - begin.y_mm) / length
    head = min(2.4, length / 2)
    neck = QPointF(end.x_mm - x * head, end.y_mm - y * head)
    painter.setPen(QPen(BLACK, HEAVY_MM * 1.6))
    painter.drawLine(QPointF(begin.x_mm, begin.y_mm), neck)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(BLACK)
    half = head * 0.6
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(end.x_mm, end.y_mm),
                QPointF(neck.x() - y * half, neck.y() + x * half),
                QPointF(neck.x() + y * half, neck.y() - x * half),
            ]
        )
    )


def _rect(one: Rectangle) -> QRectF:
    return QRectF(one.x_mm, one.y_mm, one.width_mm, one.height_mm)
