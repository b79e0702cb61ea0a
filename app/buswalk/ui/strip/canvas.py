"""Draws the slots of the strip and takes its keys; each slot in sight is a child that readers can name."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QColor,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.shapes.outcome_shapes import (
    PEG_WIDTH,
    Drawing,
    draw_cut,
    draw_outcome,
    draw_request,
    draw_wire,
    extent_of,
)
from buswalk.ui.shapes.signs import draw_hatch
from buswalk.ui.sizes import STRIP_LABEL_TEXT, TEXT
from buswalk.ui.strip.placing import Placed, placed
from buswalk.ui.strip.slots import Cut, HeardSlot, Slot, StripMode, StripState

HIGH, LOW = 56, 40
LOW_SCALE = 0.7
WIRE_AT = 34.0 / 56.0
NOW_MARGIN = 10
HATCH_WIDTH = 250
REPLY_ROOM = 1.0
_NO_PEG = (OutcomeKind.NOT_SENT, OutcomeKind.TO_ALL)
_WAITS = (OutcomeKind.NO_REPLY, OutcomeKind.SILENT_AS_EXPECTED)


class StripCanvas(QWidget):
    """The wire with all that stands on it. Signals tell what the user did with cursor and mouse."""

    cursor_moved = Signal(int)
    pointed = Signal(int)
    """Index from the end; -1 for none."""
    held = Signal()
    opened = Signal()

    def __init__(self, look: Look, state: StripState) -> None:
        super().__init__()
        self._look = look
        self._state = state
        self._children: list[QWidget] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(state.spoken)
        self.setAccessibleDescription("arrows walk the slots, Space holds the picture, Enter opens the exchange")

    def show_state(self, state: StripState) -> None:
        """Draw another state."""
        if state == self._state:
            return
        announced = state.announced != self._state.announced
        self._state = state
        if self.accessibleName() != state.spoken:
            self.setAccessibleName(state.spoken)
        if announced and QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))
        self._name_children()
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk, Space holds, Enter opens."""
        match event.key():
            case Qt.Key.Key_Left:
                self.cursor_moved.emit(-1)
            case Qt.Key.Key_Right:
                self.cursor_moved.emit(1)
            case Qt.Key.Key_Space:
                self.held.emit()
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                self.opened.emit()
            case _:
                super().keyPressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Tell which slot the mouse is over."""
        x = event.position().x()
        over = next((one.from_end for one in self._placed() if one.left <= x < one.left + one.width), -1)
        self.pointed.emit(over)

    def leaveEvent(self, event: QEvent) -> None:
        """Tell that the mouse has gone."""
        self.pointed.emit(-1)

    @property
    def scale(self) -> float:
        """Of shapes and slots: 1 on a strip 56 high."""
        is_low = self.height() < self._look.px((HIGH + LOW) / 2)
        return self._look.factor * (LOW_SCALE if is_low else 1.0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw wire, slots, now or the lost port."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(colours.panel))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        wire_y = round(self.height() * WIRE_AT) + 0.5
        reached = self._end_x()
        for one in self._placed():
            self._draw(painter, one, wire_y)
            reached = one.left
        if reached > 0:
            draw_wire(painter, colours, 0, reached, wire_y)
        if self._state.mode is StripMode.NO_PORT:
            self._draw_lost(painter, wire_y)
        else:
            now_x = self._end_x() + 1
            painter.setPen(pen(colours.ink, 2.0 * look.factor))
            painter.drawLine(QPointF(now_x, look.px(7)), QPointF(now_x, self.height() - look.px(5)))
        self._draw_remark(painter)

    def _end_x(self) -> float:
        margin = HATCH_WIDTH if self._state.mode is StripMode.NO_PORT else NOW_MARGIN
        return float(self.width() - self._look.px(margin))

    def _placed(self) -> tuple[Placed, ...]:
        return tuple(placed(self._state.items, self._end_x(), self.scale))

    def _draw(self, painter: QPainter, one: Placed, wire_y: float) -> None:
        drawing = Drawing(self._look.colours, self.scale)
        match one.item:
            case Slot():
                self._draw_slot(painter, one, one.item, wire_y)
            case HeardSlot(kind=kind):
                draw_wire(painter, drawing.colours, one.left, one.left + one.width, wire_y)
                left = one.left + (one.width - extent_of(kind).width * self.scale) / 2.0
                draw_outcome(painter, kind, QPointF(left, wire_y), drawing)
            case Cut(words=words):
                self._draw_pause(painter, one, words, wire_y)
        if one.from_end == self._state.chosen:
            painter.setPen(pen(self._look.colours.focus, 2.0))
            painter.drawRect(QRectF(one.left + 1, 2, one.width - 2, self.height() - 4))

    def _draw_slot(self, painter: QPainter, one: Placed, slot: Slot, wire_y: float) -> None:
        scale, colours = self.scale, self._look.colours
        peg = PEG_WIDTH * scale
        if slot.kind is OutcomeKind.STOPPED:
            self._draw_stopped(painter, one, wire_y)
        else:
            draw_wire(painter, colours, one.left, one.left + one.width, wire_y)
        if slot.kind not in _NO_PEG:
            draw_request(painter, QPointF(one.left, wire_y), Drawing(colours, scale))
        if slot.has_echo and slot.kind not in (OutcomeKind.OWN_ECHO_ONLY, OutcomeKind.DAMAGED_ECHO):
            draw_outcome(painter, OutcomeKind.OWN_ECHO_ONLY, QPointF(one.left, wire_y), Drawing(colours, scale))
        room = one.width - peg - REPLY_ROOM * scale
        width = extent_of(slot.kind).width * scale
        left = one.left + peg + slot.lean * max(0.0, room - width)
        wait = 0.0
        if slot.kind in _WAITS:
            left, wait = one.left + peg + scale, room - 2 * scale
        elif slot.kind in _NO_PEG or slot.kind in (OutcomeKind.OWN_ECHO_ONLY, OutcomeKind.DAMAGED_ECHO):
            left = one.left - (4 * scale if slot.kind is OutcomeKind.TO_ALL else 0.0)
        if slot.kind is not OutcomeKind.STOPPED:
            drawing = Drawing(colours, scale, slot.exception_code, wait)
            draw_outcome(painter, slot.kind, QPointF(left, wire_y), drawing)
        small = Drawing(colours, scale * 0.8)
        if slot.has_stray_before:
            draw_outcome(
                painter, OutcomeKind.STRAY_BYTE, QPointF(max(one.left + peg - 2, left - 7 * scale), wire_y), small
            )
        if slot.has_stray_after:
            at = min(left + width, one.left + one.width - 5 * scale)
            draw_outcome(painter, OutcomeKind.STRAY_BYTE, QPointF(at, wire_y), small)
        self._draw_label(painter, slot, one.left + peg / 2.0)

    def _draw_label(self, painter: QPainter, slot: Slot, middle: float) -> None:
        look = self._look
        if slot.label:
            painter.setFont(look.bold(STRIP_LABEL_TEXT) if slot.is_bold else look.regular(STRIP_LABEL_TEXT))
            painter.setPen(QColor(look.colours.ink if slot.is_bold else look.colours.ink2))
            top = 0 if self.scale < look.factor else look.px(4)
            box = QRectF(middle - look.px(20), top, look.px(40), look.px(14))
            self._write_whole(painter, box, slot.label)
        if slot.begins_second:
            painter.setPen(pen(look.colours.edge, 1.0))
            painter.drawLine(QPointF(middle, self.height() - look.px(5)), QPointF(middle, self.height()))

    def _draw_pause(self, painter: QPainter, one: Placed, words: str, wire_y: float) -> None:
        colours, scale = self._look.colours, self.scale
        edge = 6 * scale
        draw_wire(painter, colours, one.left, one.left + edge, wire_y)
        draw_wire(painter, colours, one.left + one.width - edge, one.left + one.width, wire_y)
        draw_cut(painter, QPointF(one.left + edge, wire_y), one.width - 2 * edge, Drawing(colours, scale))
        self._under(painter, one, words, look_bold=False)

    def _draw_stopped(self, painter: QPainter, one: Placed, wire_y: float) -> None:
        colours, scale = self._look.colours, self.scale
        begin = one.left + (PEG_WIDTH + 6) * scale
        end = one.left + one.width - 2 * scale
        draw_wire(painter, colours, one.left, begin, wire_y)
        draw_cut(painter, QPointF(begin, wire_y), end - begin, Drawing(colours, scale))
        under = Placed(one.from_end, one.item, begin, end - begin)
        self._under(painter, under, OutcomeKind.STOPPED.word, look_bold=True)

    def _under(self, painter: QPainter, one: Placed, words: str, *, look_bold: bool) -> None:
        """Write under a cut."""
        look = self._look
        painter.setFont(look.bold(STRIP_LABEL_TEXT) if look_bold else look.regular(STRIP_LABEL_TEXT))
        painter.setPen(QColor(look.colours.ink2))
        box = QRectF(one.left - 10, self.height() - look.px(15), one.width + 20, look.px(14))
        self._write_whole(painter, box, words)

    def _write_whole(self, painter: QPainter, box: QRectF, words: str) -> None:
        """Write in the middle of a box, or not at all: of 154 cut at the left end 54 would be left."""
        left = box.center().x() - QFontMetrics(painter.font()).horizontalAdvance(words) / 2.0
        if left >= self._remark_width():
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)

    def _draw_lost(self, painter: QPainter, wire_y: float) -> None:
        look, colours = self._look, self._look.colours
        box = QRectF(self._end_x(), look.px(4), self.width() - self._end_x(), self.height() - 2 * look.px(5))
        draw_hatch(painter, colours, box)
        painter.setPen(pen(colours.fault.mark, 3.0))
        painter.drawLine(box.topLeft(), box.bottomLeft())
        font = look.bold(TEXT)
        width = QFontMetrics(font).horizontalAdvance(self._state.lost_words) + look.px(20)
        words = QRectF(box.center().x() - width / 2.0, box.center().y() - look.px(12), width, look.px(24))
        painter.fillRect(words, QColor(colours.panel))
        painter.setFont(font)
        painter.setPen(QColor(colours.fault.text))
        painter.drawText(words, int(Qt.AlignmentFlag.AlignCenter), self._state.lost_words)

    def _draw_remark(self, painter: QPainter) -> None:
        """Write at the left what the picture leaves out, or that it is held."""
        words, look = self._remark(), self._look
        if not words:
            return
        painter.setFont(look.bold(STRIP_LABEL_TEXT))
        box = QRectF(0, 0, self._remark_width(), self.height())
        painter.fillRect(box, QColor(look.colours.panel))
        painter.setPen(pen(look.colours.hair, 1.0))
        painter.drawLine(box.topRight(), box.bottomRight())
        painter.setPen(QColor(look.colours.ink2))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)

    def _remark(self) -> str:
        return "held, Space goes on" if self._state.is_held else self._state.share_words

    def _remark_width(self) -> int:
        """Return how much of the picture's left end it covers."""
        words, look = self._remark(), self._look
        if not words:
            return 0
        return QFontMetrics(look.bold(STRIP_LABEL_TEXT)).horizontalAdvance(words) + look.px(16)

    def _name_children(self) -> None:
        """Keep one silent child a slot in sight, named by its sentence; the newest first."""
        slots = [one for one in self._placed() if not isinstance(one.item, Cut)]
        while len(self._children) < len(slots):
            child = QWidget(self)
            child.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            self._children.append(child)
        for child, one in zip(self._children, slots, strict=False):
            box = QRect(int(one.left), 0, int(one.width), self.height())
            if child.geometry() != box:
                child.setGeometry(box)
            if not isinstance(one.item, Cut):
                words = f"{one.item.sentence.headline}, {one.item.sentence.words}"
                if child.accessibleName() != words:
                    child.setAccessibleName(words)
            child.show()
        for child in self._children[len(slots) :]:
            child.setAccessibleName("empty")
            child.hide()
