"""The pair along its cable with who answers and who went quiet; where it may be open, it is drawn open."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.address_states import AddressState
from buswalk.ui.look import Look, pen
from buswalk.ui.pages.find.quiet_state import CablePlace, CableView
from buswalk.ui.shapes.address_shapes import draw_address
from buswalk.ui.sizes import ADDRESS_CELL_TEXT
from buswalk.ui.widgets.named_children import NamedChildren

CELL, LEAST_PITCH = 26, 30
HIGH_WIRE, LOW_WIRE = 8, 17
TAP_TOP, CELL_TOP = 17, 30
ROW_HEIGHT = 66
SIDE = 6
MOST_ROWS = 4
CUT_HALF = 8.0


class QuietCable(QWidget):
    """Draws a CableView; what does not fit into one line goes on in the next, as the cable does."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: CableView | None = None
        self._children = NamedChildren(self, self._box)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(look.px(ROW_HEIGHT))
        self.setAccessibleName("where on the cable")

    def sizeHint(self) -> QSize:
        """As wide as there is room."""
        return QSize(self._look.px(320), self._look.px(ROW_HEIGHT))

    def show_cable(self, state: CableView) -> None:
        """Show it."""
        if state == self._state:
            return
        self._state = state
        self.setAccessibleDescription(state.words)
        self._fit()
        self._children.show_names(lambda: [one.spoken for one in state.places])
        self.update()

    def _fit(self) -> None:
        lines = max(1, -(-self._count // self._columns))
        height = self._look.px(ROW_HEIGHT) * min(lines, MOST_ROWS)
        if self.height() != height:
            self.setFixedHeight(height)

    @property
    def _count(self) -> int:
        return len(self._state.places) if self._state is not None else 0

    @property
    def _columns(self) -> int:
        """How many fit side by side; lines are filled evenly."""
        room = max(1, int((self.width() - 2 * self._look.px(SIDE)) / self._look.px(LEAST_PITCH)))
        lines = max(1, -(-self._count // room))
        return max(1, -(-self._count // lines))

    @property
    def _pitch(self) -> float:
        return (self.width() - 2.0 * self._look.px(SIDE)) / self._columns

    def _cell(self, index: int) -> QRectF:
        line, column = divmod(index, self._columns)
        side = self._look.px(CELL)
        middle = self._look.px(SIDE) + self._pitch * (column + 0.5)
        return QRectF(
            round(middle - side / 2.0), line * self._look.px(ROW_HEIGHT) + self._look.px(CELL_TOP), side, side
        )

    def _box(self, index: int) -> QRect:
        return self._cell(index).toRect()

    def resizeEvent(self, event: object) -> None:
        """Fit anew."""
        self._fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw wires, taps and cells."""
        if self._state is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for first in range(0, self._count, self._columns):
            self._draw_wires(painter, self._state, first)
        for index, place in enumerate(self._state.places):
            self._draw_place(painter, index, place)

    def _draw_wires(self, painter: QPainter, state: CableView, first: int) -> None:
        """Whole up to the cut, dashed behind it, where there is one."""
        look, top = self._look, (first // self._columns) * self._look.px(ROW_HEIGHT)
        last = min(first + self._columns, self._count)
        left = float(look.px(SIDE))
        right = left + self._pitch * (last - first)
        cut = state.cut_before
        at = left if cut < 0 else left + self._pitch * (cut - first)
        half = CUT_HALF * look.factor
        is_behind = 0 <= cut <= first and cut < first
        is_here = first <= cut < last
        whole, dashed = (left, right), (right, right)
        if is_behind:
            whole, dashed = (left, left), (left, right)
        elif is_here:
            whole, dashed = (left, max(left, at - half)), (at + half, right)
        broken = QPen(pen(look.colours.doubt.mark, 2.0 * look.factor))
        broken.setDashPattern([4.0, 2.5])
        for wire in (HIGH_WIRE, LOW_WIRE):
            y = top + look.px(wire)
            painter.setPen(pen(look.colours.ink, 2.0 * look.factor))
            if whole[1] > whole[0]:
                painter.drawLine(QPointF(whole[0], y), QPointF(whole[1], y))
            painter.setPen(broken)
            if dashed[1] > dashed[0]:
                painter.drawLine(QPointF(dashed[0], y), QPointF(dashed[1], y))
        if is_here:
            painter.setPen(pen(look.colours.ink, 1.6 * look.factor))
            for x in (max(left, at - half), at + half):
                lean = 2.0 * look.factor
                painter.drawLine(QPointF(x - lean, top + look.px(HIGH_WIRE + 16)), QPointF(x + lean, top + look.px(1)))

    def _draw_place(self, painter: QPainter, index: int, place: CablePlace) -> None:
        look, cell = self._look, self._cell(index)
        top = (index // self._columns) * look.px(ROW_HEIGHT)
        painter.setPen(pen(look.colours.ink2, 1.2 * look.factor))
        painter.drawLine(QPointF(cell.center().x(), top + look.px(TAP_TOP)), QPointF(cell.center().x(), cell.top()))
        if place.is_quiet:
            self._draw_quiet(painter, cell, str(place.address))
            return
        state = AddressState.ANSWERED if place.is_answering else AddressState.TO_ASK
        draw_address(painter, look, state, cell, place.address)

    def _draw_quiet(self, painter: QPainter, cell: QRectF, number: str) -> None:
        look = self._look
        line = 2.0 * look.factor
        box = cell.adjusted(line / 2, line / 2, -line / 2, -line / 2)
        painter.setPen(pen(look.colours.doubt.mark, line))
        painter.setBrush(QColor(look.colours.doubt.tint))
        painter.drawRect(box)
        painter.setPen(QColor(look.colours.ink))
        size = ADDRESS_CELL_TEXT + 2
        while size > 8 and QFontMetrics(look.bold(size)).horizontalAdvance(number) > box.width() - 2:
            size -= 1
        painter.setFont(look.bold(size))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), number)
