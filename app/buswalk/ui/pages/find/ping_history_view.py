"""The last minute of a ping: a slot for each exchange on one wire, or on six of ten seconds, with the marks."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.find.ping_state import HistoryMark, HistoryState, Slot
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_outcome, draw_request, draw_wire, extent_of
from buswalk.ui.sizes import CAPTION_TEXT

MARGIN = 14
HEAD_ROOM = 64
MARK_ROOM = 24
FOOT_ROOM = 26
LONE_ROW, PACKED_ROW = 46, 18
SHAPE_ROOM = 21.0
"""Width of the widest shape at scale 1, with a little wire; a slot narrower than that draws smaller."""
LEAST_SCALE = 0.32
TICKS = 6


class PingHistoryView(QWidget):
    """Draws a HistoryState, newest at the right."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: HistoryState | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("the last 60 s")

    def show_history(self, state: HistoryState) -> None:
        """Show it."""
        if state == self._state:
            return
        had = self._state
        self._state = state
        self.setAccessibleName(f"the last 60 s, {state.counts or 'nothing asked'}")
        if had is None or had.rows != state.rows:
            self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """As many rows as there are."""
        rows = self._state.rows if self._state is not None else 1
        height = MARK_ROOM + LONE_ROW + FOOT_ROOM if rows == 1 else rows * PACKED_ROW
        return QSize(self._look.px(500), self._look.px(height))

    def minimumSizeHint(self) -> QSize:
        """The same: no row is cut."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw wires, slots, marks and where now is."""
        state = self._state
        if state is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for row in range(state.rows):
            self._draw_row(painter, state, row)
        if state.rows == 1:
            self._draw_ticks(painter)
        for slot in state.slots:
            self._draw_slot(painter, state, slot)
        for mark in state.marks:
            self._draw_mark(painter, state, mark)

    # Places

    def _left(self, state: HistoryState) -> float:
        return self._look.px(MARGIN if state.rows == 1 else HEAD_ROOM)

    def _slot_width(self, state: HistoryState) -> float:
        return (self.width() - self._look.px(MARGIN) - self._left(state)) / state.slots_a_row

    def _wire_y(self, state: HistoryState, row: int) -> float:
        look = self._look
        if state.rows == 1:
            return look.px(MARK_ROOM) + look.px(LONE_ROW) * 0.55
        return look.px(PACKED_ROW) * (row + 0.45)

    def _slot_place(self, state: HistoryState, back: int) -> tuple[int, float]:
        """Return the row of a slot and its left edge."""
        row = state.rows - 1 - back // state.slots_a_row
        in_row = state.slots_a_row - 1 - back % state.slots_a_row
        return row, self._left(state) + in_row * self._slot_width(state)

    def _draw_row(self, painter: QPainter, state: HistoryState, row: int) -> None:
        look, colours = self._look, self._look.colours
        y = self._wire_y(state, row)
        right = self.width() - look.px(MARGIN)
        draw_wire(painter, colours, self._left(state), right, y)
        if row == state.rows - 1:
            painter.setPen(pen(colours.ink, 2.0 * look.factor))
            reach = look.px(20 if state.rows == 1 else 8)
            painter.drawLine(QPointF(right, y - reach), QPointF(right, y + reach))
        if state.rows > 1:
            painter.setFont(look.regular(CAPTION_TEXT))
            painter.setPen(QColor(colours.ink2))
            box = QRectF(0, y - look.px(9), self._left(state) - look.px(8), look.px(18))
            painter.drawText(
                box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight), state.row_heads[row]
            )

    def _draw_ticks(self, painter: QPainter) -> None:
        look, colours = self._look, self._look.colours
        painter.setFont(look.regular(CAPTION_TEXT))
        left, right = float(look.px(MARGIN)), float(self.width() - look.px(MARGIN))
        top = look.px(MARK_ROOM + LONE_ROW)
        for at in range(TICKS + 1):
            x = left + (right - left) * at / TICKS
            painter.setPen(pen(colours.edge, 1.0))
            painter.drawLine(QPointF(x, top), QPointF(x, top + look.px(5)))
            words = "now" if at == TICKS else f"{60 - 10 * at} s ago"
            width = QFontMetrics(painter.font()).horizontalAdvance(words)
            from_x = min(max(x - width / 2.0, 0.0), self.width() - width - 1.0)
            painter.setPen(QColor(colours.ink2))
            painter.drawText(QPointF(from_x, top + look.px(20)), words)

    def _draw_slot(self, painter: QPainter, state: HistoryState, slot: Slot) -> None:
        row, left = self._slot_place(state, slot.back)
        width, y = self._slot_width(state), self._wire_y(state, row)
        scale = max(LEAST_SCALE, min(0.8, width / SHAPE_ROOM)) * self._look.factor
        drawing = Drawing(self._look.colours, scale, slot.exception_code, max(width - 2.0 * scale, 3.0))
        if state.rows == 1:
            draw_request(painter, QPointF(left, y), drawing)
        if extent_of(slot.kind).width * scale > width:
            drawing = Drawing(self._look.colours, width / extent_of(slot.kind).width, 0, width)
        draw_outcome(painter, slot.kind, QPointF(left, y), drawing)

    def _draw_mark(self, painter: QPainter, state: HistoryState, mark: HistoryMark) -> None:
        look, colours = self._look, self._look.colours
        row, left = self._slot_place(state, mark.back)
        y = self._wire_y(state, row)
        is_lone = state.rows == 1
        reach = look.px(26 if is_lone else 8)
        painter.setPen(pen(colours.ink, 1.6 * look.factor))
        painter.drawLine(QPointF(left, 0.0 if is_lone else y - reach), QPointF(left, y + reach))
        painter.setFont(look.bold(CAPTION_TEXT if is_lone else CAPTION_TEXT - 1))
        metrics = QFontMetrics(painter.font())
        words = f"{mark.number} {mark.words}" if is_lone else str(mark.number)
        words = metrics.elidedText(words, Qt.TextElideMode.ElideRight, look.px(220))
        width = metrics.horizontalAdvance(words) + look.px(12 if is_lone else 6)
        height = look.px(18 if is_lone else 14)
        box = QRectF(min(left, self.width() - width - 1.0), 0.0 if is_lone else y - height / 2.0, width, height)
        painter.fillRect(box, QColor(colours.solid))
        painter.setPen(QColor(colours.onsolid))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)
