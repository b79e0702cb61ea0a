"""Draws when it was not clean: one wire a device, shapes on it, marks behind them, times without a port hatched."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.faults.faults_state import TimelineLane, TimelineSpan, TimelineState
from buswalk.ui.shapes.address_shapes import draw_focus
from buswalk.ui.shapes.outcome_shapes import WIRE_WIDTH, Drawing, draw_outcome, extent_of
from buswalk.ui.sizes import CAPTION_TEXT, STRIP_LABEL_TEXT
from buswalk.ui.widgets.focus_ring import draws_own_focus
from buswalk.ui.widgets.named_children import NamedChildren

LABELS = 44
RIGHT = 10
MARK_WORDS, FOOT = 16, 18
LANE_HIGH, LEAST_PITCH = 20, 16
SHAPE_SCALE = 0.62
TICK = 4
WORDS_GAP = 6
RING = 20


class TimelineView(QWidget):
    """Left and right walk along one device, up and down change it; a press chooses the device."""

    walked = Signal(int)
    lane_stepped = Signal(int)
    lane_pressed = Signal(int)
    lanes_fit = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state = TimelineState()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("when it was not clean, by device")
        self.setAccessibleDescription("left and right walk along a device, up and down change it")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        draws_own_focus(self)
        self._children = NamedChildren(self, self._box_of)

    def show_state(self, state: TimelineState) -> None:
        """Draw another state."""
        if state != self._state:
            self._state = state
            self._children.show_names(lambda: [_told(one) for one in state.lanes])
            self.update()

    def sizeHint(self) -> QSize:
        """Room for four lanes."""
        return QSize(self._look.px(400), self._look.px(MARK_WORDS + FOOT + 4 * LANE_HIGH))

    def minimumSizeHint(self) -> QSize:
        """Room for lanes that are close together."""
        return QSize(self._look.px(300), self._look.px(MARK_WORDS + FOOT + 3 * LANE_HIGH))

    # Places

    def _left(self) -> float:
        return float(self._look.px(LABELS))

    def _width(self) -> float:
        return self.width() - self._left() - self._look.px(RIGHT)

    def _x(self, share: float) -> float:
        return self._left() + share * self._width()

    def _lanes_top(self) -> float:
        return float(self._look.px(MARK_WORDS))

    def _lanes_foot(self) -> float:
        return float(self.height() - self._look.px(FOOT))

    def _pitch(self) -> float:
        room = self._lanes_foot() - self._lanes_top()
        return min(float(self._look.px(LANE_HIGH + 6)), room / max(1, len(self._state.lanes)))

    def _wire_y(self, lane: int) -> float:
        return float(round(self._lanes_top() + (lane + 0.45) * self._pitch())) + 0.5

    def _box_of(self, lane: int) -> QRect:
        return QRect(0, int(self._lanes_top() + lane * self._pitch()), self.width(), int(self._pitch()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Tell how many devices have room."""
        super().resizeEvent(event)
        self.lanes_fit.emit(max(1, int((self._lanes_foot() - self._lanes_top()) // self._look.px(LEAST_PITCH))))

    # What is pressed

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk."""
        match event.key():
            case Qt.Key.Key_Left:
                self.walked.emit(-1)
            case Qt.Key.Key_Right:
                self.walked.emit(1)
            case Qt.Key.Key_Up:
                self.lane_stepped.emit(-1)
            case Qt.Key.Key_Down:
                self.lane_stepped.emit(1)
            case _:
                super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the device of a lane."""
        lane = int((event.position().y() - self._lanes_top()) // self._pitch())
        if 0 <= lane < len(self._state.lanes):
            self.lane_pressed.emit(self._state.lanes[lane].server_address)

    # Drawing

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw all of it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_spans(painter)
        self._draw_ticks(painter)
        for at, lane in enumerate(self._state.lanes):
            self._draw_lane(painter, at, lane)
        self._draw_chosen(painter)
        if self.hasFocus():
            painter.setPen(pen(self._look.colours.focus, 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))

    def _draw_spans(self, painter: QPainter) -> None:
        look, colours = self._look, self._look.colours
        top, foot = self._lanes_top(), self._lanes_foot()
        for gap in self._state.gaps:
            room = QRectF(self._x(gap.from_x), top, max(2.0, (gap.to_x - gap.from_x) * self._width()), foot - top)
            painter.fillRect(room, QColor(colours.fault.tint))
            painter.fillRect(room, QBrush(QColor(colours.fault.mark), Qt.BrushStyle.BDiagPattern))
        for mark in self._state.marks:
            room = QRectF(self._x(mark.from_x), top, max(2.0, (mark.to_x - mark.from_x) * self._width()), foot - top)
            painter.fillRect(room, QColor(colours.bar))
            painter.setPen(pen(colours.edge, 1.0))
            painter.drawLine(QPointF(room.left(), top), QPointF(room.left(), foot))
        painter.setFont(look.regular(STRIP_LABEL_TEXT))
        painter.setPen(QColor(colours.ink2))
        for left, words in self._span_words():
            painter.drawText(QRectF(left, 0, self.width() - left, top), int(Qt.AlignmentFlag.AlignVCenter), words)

    def _span_words(self) -> list[tuple[float, str]]:
        """Return the words of spans that have room, each where its span begins; the list of marks has them all."""
        metrics = QFontMetrics(self._look.regular(STRIP_LABEL_TEXT))
        placed: list[tuple[float, str]] = []
        spans: list[TimelineSpan] = sorted((*self._state.marks, *self._state.gaps), key=lambda one: one.from_x)
        free_from = 0.0
        for one in spans:
            width = metrics.horizontalAdvance(one.words)
            left = min(self._x(one.from_x), self.width() - width - 2.0)
            if left >= free_from:
                placed.append((left, one.words))
                free_from = left + width + self._look.px(WORDS_GAP)
        return placed

    def _draw_ticks(self, painter: QPainter) -> None:
        look, colours = self._look, self._look.colours
        foot = self._lanes_foot()
        painter.setFont(look.regular(STRIP_LABEL_TEXT))
        metrics = QFontMetrics(painter.font())
        free_from = 0.0
        for tick in self._state.ticks:
            x, width = self._x(tick.x), metrics.horizontalAdvance(tick.words)
            painter.setPen(pen(colours.edge, 1.0))
            painter.drawLine(QPointF(x, foot), QPointF(x, foot + look.px(TICK)))
            left = min(max(0.0, x - width / 2.0), self.width() - width)
            if left >= free_from:
                painter.setPen(QColor(colours.ink2))
                room = QRectF(left, foot + look.px(TICK), width + 2, look.px(FOOT - TICK))
                painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter), tick.words)
                free_from = left + width + look.px(WORDS_GAP)

    def _draw_lane(self, painter: QPainter, at: int, lane: TimelineLane) -> None:
        look, colours = self._look, self._look.colours
        wire_y = self._wire_y(at)
        painter.setFont(look.bold(CAPTION_TEXT) if lane.is_chosen else look.regular(CAPTION_TEXT))
        painter.setPen(QColor(colours.ink))
        room = QRectF(0, wire_y - look.px(8), self._left() - look.px(8), look.px(16))
        right = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight)
        painter.drawText(room, right, str(lane.server_address))
        painter.setPen(pen(colours.ink2 if lane.is_chosen else colours.edge, WIRE_WIDTH))
        painter.drawLine(QPointF(self._left(), wire_y), QPointF(self._left() + self._width(), wire_y))
        scale = SHAPE_SCALE * look.factor * min(1.0, self._pitch() / look.px(LANE_HIGH) + 0.1)
        for point in lane.points:
            width = extent_of(point.kind).width * scale
            draw_outcome(painter, point.kind, QPointF(self._x(point.x) - width / 2.0, wire_y), Drawing(colours, scale))

    def _draw_chosen(self, painter: QPainter) -> None:
        address, x = self._state.chosen
        lanes = [at for at, one in enumerate(self._state.lanes) if one.server_address == address]
        if x < 0 or not lanes:
            return
        side = self._look.px(RING) * min(1.0, self._pitch() / self._look.px(LANE_HIGH))
        middle = QPointF(self._x(x), self._wire_y(lanes[0]) + side * 0.15)
        draw_focus(painter, self._look, QRectF(middle.x() - side / 2, middle.y() - side / 2, side, side))


def _told(lane: TimelineLane) -> str:
    points = "; ".join(one.told for one in lane.points) or "clean"
    return f"{lane.server_address}{', chosen' if lane.is_chosen else ''}: {points}"
