"""Draws a picture of switches with a painter that has its unit: on paper, or in the colours of the window."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPen, QPolygonF, QTransform

from buswalk.domain.switches.geometry import Point, Rectangle
from buswalk.domain.switches.picture import BodyPicture, BodyTone, DialPicture, LeverPicture, Picture
from buswalk.ui.printing.mm_painter import MmPainter

HATCH_SCALE = 0.25


@dataclass(frozen=True, slots=True)
class Inks:
    """Colours and widths of lines; those for paper unless told.

    Attributes:
        line, heavy, mark_width: Widths of thin lines, of outlines, and of what frames a lever to be moved.
        hatch: Scale of the hatch of levers that are not for the address.
    """

    ink: QColor = field(default_factory=lambda: QColor(Qt.GlobalColor.black))
    paper: QColor = field(default_factory=lambda: QColor(Qt.GlobalColor.white))
    body: QColor = field(default_factory=lambda: QColor(Qt.GlobalColor.white))
    dark_body: QColor = field(default_factory=lambda: QColor(60, 60, 60))
    mark: QColor = field(default_factory=lambda: QColor(Qt.GlobalColor.black))
    line: float = 0.3
    heavy: float = 0.6
    mark_width: float = 0.9
    mark_style: Qt.PenStyle = Qt.PenStyle.DotLine
    hatch: float = HATCH_SCALE
    corner: float = 1.0


def draw_picture(drawn: MmPainter, picture: Picture, tone: BodyTone, inks: Inks | None = None) -> None:
    """Draw all of it, its top left corner at the origin."""
    used = inks or Inks()
    for body in picture.bodies:
        _body(drawn, body, tone, used)
    for lever in picture.levers:
        _lever(drawn, lever, tone, used)
    for dial in picture.dials:
        _dial(drawn, dial, used)


def _body(drawn: MmPainter, one: BodyPicture, tone: BodyTone, inks: Inks) -> None:
    drawn.painter.setPen(QPen(inks.ink, inks.heavy))
    drawn.painter.setBrush(inks.dark_body if tone is BodyTone.WHITE_LEVERS else inks.body)
    drawn.painter.drawRoundedRect(_rect(one.body), inks.corner, inks.corner)
    _arrow(drawn, one.arrow_from, one.arrow_to, replace(inks, ink=drawn.ink))
    drawn.text(one.on)


def _lever(drawn: MmPainter, one: LeverPicture, tone: BodyTone, inks: Inks) -> None:
    painter = drawn.painter
    painter.setPen(QPen(inks.ink, inks.line))
    if one.is_for_address:
        painter.setBrush(inks.ink if tone is BodyTone.WHITE_LEVERS else inks.paper)
    else:
        painter.setBrush(inks.paper)
        painter.drawRect(_rect(one.slot))
        hatch = QBrush(inks.ink, Qt.BrushStyle.BDiagPattern)
        hatch.setTransform(QTransform.fromScale(inks.hatch, inks.hatch))
        painter.setBrush(hatch)
    painter.drawRect(_rect(one.slot))
    is_dark = tone is BodyTone.DARK_LEVERS or (tone is BodyTone.FILLED_IS_ON and one.is_on and one.is_for_address)
    painter.setPen(QPen(inks.ink, inks.heavy))
    painter.setBrush(inks.ink if is_dark else inks.paper)
    painter.drawRect(_rect(one.knob))
    drawn.text(one.digit, ink=inks.paper if is_dark else inks.ink)
    drawn.text(one.label)
    drawn.text(one.says)
    if one.is_marked:
        painter.setPen(QPen(inks.mark, inks.mark_width, inks.mark_style))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(_rect(one.slot).adjusted(-inks.mark_width, -inks.mark_width, inks.mark_width, inks.mark_width))


def _dial(drawn: MmPainter, one: DialPicture, inks: Inks) -> None:
    painter = drawn.painter
    center = QPointF(one.center.x_mm, one.center.y_mm)
    painter.setPen(QPen(inks.ink, inks.heavy))
    painter.setBrush(inks.paper)
    painter.drawEllipse(center, one.radius_mm, one.radius_mm)
    angle = math.radians(one.pointer_degrees)
    reach = one.radius_mm * 0.75
    tip = Point(one.center.x_mm + reach * math.sin(angle), one.center.y_mm - reach * math.cos(angle))
    tail = Point(one.center.x_mm - reach * math.sin(angle), one.center.y_mm + reach * math.cos(angle))
    _arrow(drawn, tail, tip, inks)
    for position, digit in enumerate(one.digits):
        is_set = position == one.position
        if is_set:
            side = digit.figure_mm * 1.35
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(inks.ink)
            painter.drawRect(QRectF(digit.at.x_mm - side / 2, digit.at.y_mm - side / 2, side, side))
        drawn.text(digit, ink=inks.paper if is_set else inks.ink)
    drawn.text(one.label)
    drawn.text(one.says)
    if one.is_marked:
        painter.setPen(QPen(inks.mark, inks.mark_width, inks.mark_style))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(center, one.radius_mm + inks.mark_width, one.radius_mm + inks.mark_width)


def _arrow(drawn: MmPainter, begin: Point, end: Point, inks: Inks) -> None:
    """Draw a shaft and a head at its end."""
    painter = drawn.painter
    length = math.hypot(end.x_mm - begin.x_mm, end.y_mm - begin.y_mm)
    x, y = (end.x_mm - begin.x_mm) / length, (end.y_mm - begin.y_mm) / length
    head = min(inks.heavy * 4.0, length / 2)
    neck = QPointF(end.x_mm - x * head, end.y_mm - y * head)
    painter.setPen(QPen(inks.ink, inks.heavy * 1.6))
    painter.drawLine(QPointF(begin.x_mm, begin.y_mm), neck)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(inks.ink)
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
