"""One round of another client to scale: its exchanges as boxes on the wire, the pause that may be used below."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.search_state import OneRoundState
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_outcome
from buswalk.ui.sizes import CAPTION_TEXT, TEXT

HEIGHT = 84
WIRE, BOX_TOP, BOX_BOTTOM = 34, 19, 49
FREE, FOOT = 58, 80
SIDE = 8
LEAST_BOX = 6
TICK = 4


class OneRoundView(QWidget):
    """Draws a OneRoundState."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: OneRoundState | None = None
        self.setFixedHeight(look.px(HEIGHT))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("one round of the other client")

    def sizeHint(self) -> QSize:
        """As wide as there is room."""
        return QSize(self._look.px(320), self._look.px(HEIGHT))

    def show_round(self, state: OneRoundState) -> None:
        """Show it."""
        if state != self._state:
            self._state = state
            self.setAccessibleDescription(state.words)
            self.update()

    def _x(self, share: float) -> float:
        side = self._look.px(SIDE)
        return side + share * (self.width() - 2 * side)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw wire, exchanges, the free part, times."""
        state, look = self._state, self._look
        if state is None or not state.boxes:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        wire = float(look.px(WIRE))
        painter.setPen(pen(look.colours.ink2, 1.6 * look.factor))
        painter.drawLine(QPointF(self._x(0.0), wire), QPointF(self._x(1.0), wire))
        self._draw_boxes(painter, state, wire)
        self._draw_free(painter, state)
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(look.colours.ink2))
        foot = float(look.px(FOOT))
        painter.drawText(QPointF(self._x(0.0), foot), "0 s")
        width = QFontMetrics(painter.font()).horizontalAdvance(state.end_words)
        painter.drawText(QPointF(self._x(1.0) - width, foot), state.end_words)

    def _draw_boxes(self, painter: QPainter, state: OneRoundState, wire: float) -> None:
        """Draw the exchanges; words that would meet those before are left out here, the table has them."""
        look, hue = self._look, self._look.colours.foreign
        face = look.bold(CAPTION_TEXT)
        free_from = -1.0
        for box in state.boxes:
            left, right = self._x(box.from_share), self._x(box.to_share)
            right = max(right, left + look.px(LEAST_BOX))
            painter.setPen(pen(hue.mark, 1.4 * look.factor))
            painter.setBrush(QColor(hue.tint))
            painter.drawRect(QRectF(left, look.px(BOX_TOP), right - left, look.px(BOX_BOTTOM - BOX_TOP)))
            if right - left > look.px(20):
                drawing = Drawing(look.colours, 0.7 * look.factor)
                draw_outcome(painter, OutcomeKind.FOREIGN_FRAME, QPointF(left + look.px(3), wire), drawing)
            width = QFontMetrics(face).horizontalAdvance(box.words)
            if left > free_from and left + width <= self.width():
                painter.setFont(face)
                painter.setPen(QColor(hue.text))
                painter.drawText(QPointF(left, look.px(BOX_TOP - 5)), box.words)
                free_from = left + width + look.px(6)

    def _draw_free(self, painter: QPainter, state: OneRoundState) -> None:
        look = self._look
        painter.setFont(look.bold(TEXT))
        metrics = QFontMetrics(painter.font())
        width = metrics.horizontalAdvance(state.free_words)
        left, right, y = self._x(state.free_from), self._x(state.free_to), float(look.px(FREE))
        middle = (left + right) / 2.0
        at = min(max(middle - width / 2.0, self._x(0.0)), self._x(1.0) - width)
        if right > left:
            painter.setPen(pen(look.colours.ink, 1.4 * look.factor))
            for from_x, to_x in ((left, at - look.px(6)), (at + width + look.px(6), right)):
                if to_x > from_x:
                    painter.drawLine(QPointF(from_x, y), QPointF(to_x, y))
            for x in (left, right):
                painter.drawLine(QPointF(x, y - look.px(TICK)), QPointF(x, y + look.px(TICK)))
        painter.setPen(QColor(look.colours.ink))
        box = QRectF(at, y - look.px(10), width + 2, look.px(20))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter), state.free_words)
