"""The block of levers and dials as it sits before the eye: drawn, flipped by mouse and keys, read out part by part."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QTransform, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.domain.switches.board import SYMBOLS
from buswalk.domain.switches.geometry import Rectangle
from buswalk.domain.switches.picture import BodyTone, Picture
from buswalk.ui.look import Look, pen
from buswalk.ui.pages.switches.picture_inks import screen_inks
from buswalk.ui.pages.switches.switches_state import BlockState, ControlState
from buswalk.ui.printing.mm_painter import MmPainter
from buswalk.ui.printing.switch_drawing import draw_picture
from buswalk.ui.shapes.address_shapes import draw_focus
from buswalk.ui.sizes import FOCUS_GAP, FOCUS_RING
from buswalk.ui.widgets.focus_ring import draws_own_focus
from buswalk.ui.widgets.named_children import NamedChildren

MARGIN = 10
LEAST_WIDTH, LEAST_HEIGHT = 380, 130
USUAL_HEIGHT = 260
DIAL_REACH = 1.6
"""How far round a dial a press turns it, in radii: its digits can be pressed too."""


class SwitchBlock(QWidget):
    """Shows a BlockState; says what is to be moved."""

    position_wanted = Signal(int, int)
    step_wanted = Signal(int, int)
    label_flipped = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: BlockState | None = None
        self._tone = BodyTone.FILLED_IS_ON
        self._at = 0
        self._children = NamedChildren(self, lambda at: self._box(at).toRect())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("switches")
        draws_own_focus(self)

    def show_block(self, state: BlockState, tone: BodyTone) -> None:
        """Show another state."""
        if state == self._state and tone is self._tone:
            return
        self._state, self._tone = state, tone
        self._at = min(self._at, len(state.controls) - 1)
        self._say()
        self.update()

    @property
    def at(self) -> int:
        """Index of the control that has the focus."""
        return self._at

    def sizeHint(self) -> QSize:
        """Wide enough for eight levers at full size."""
        return QSize(self._look.px(640), self._look.px(USUAL_HEIGHT))

    def minimumSizeHint(self) -> QSize:
        """Smaller than that everything is drawn smaller."""
        return QSize(self._look.px(LEAST_WIDTH), self._look.px(LEAST_HEIGHT))

    # Keys and mouse

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk and turn, Space flips, printed numbers flip, digits set a dial."""
        state = self._state
        if state is None:
            return
        is_dial = state.controls[self._at].positions > 2
        match Qt.Key(event.key()):
            case Qt.Key.Key_Left | Qt.Key.Key_Right:
                self._walk(1 if event.key() == Qt.Key.Key_Right else -1)
            case Qt.Key.Key_Up | Qt.Key.Key_Down if is_dial:
                self.step_wanted.emit(self._at, 1 if event.key() == Qt.Key.Key_Up else -1)
            case Qt.Key.Key_Space | Qt.Key.Key_Up | Qt.Key.Key_Down:
                self.step_wanted.emit(self._at, 1)
            case _ if not self._take_sign(event.text().upper(), state.controls[self._at]):
                super().keyPressEvent(event)

    def _take_sign(self, sign: str, control: ControlState) -> bool:
        if len(sign) != 1 or sign not in SYMBOLS or self._state is None:
            return False
        if control.positions > 2:
            self.position_wanted.emit(control.index, SYMBOLS.index(sign))
            return True
        if sign not in [one.label for one in self._state.controls]:
            return False
        self._at = next(i for i, one in enumerate(self._state.controls) if one.label == sign)
        self.label_flipped.emit(sign)
        return True

    def _walk(self, step: int) -> None:
        """Go to the neighbour as seen, wherever the first lever sits."""
        order = self._seen_order()
        place = order.index(self._at) + step
        if 0 <= place < len(order):
            self._at = order[place]
            self._say()
            self.update()

    def _seen_order(self) -> list[int]:
        count = len(self._state.controls) if self._state is not None else 0
        boxes = [self._box(i) for i in range(count)]
        is_upright = len({round(box.center().x()) for box in boxes}) == 1
        return sorted(range(count), key=lambda i: boxes[i].center().y() if is_upright else boxes[i].center().x())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Flip the lever, or set the dial to the digit, under the mouse."""
        where = event.position()
        for index in range(len(self._state.controls) if self._state is not None else 0):
            if self._box(index).contains(where):
                self._at = index
                self._press(index, where)
                return

    def _press(self, index: int, where: QPointF) -> None:
        state = self._state
        assert state is not None
        dial = next((one for one in state.picture.dials if one.index == index), None)
        if dial is None:
            self.step_wanted.emit(index, 1)
            return
        scale, offset = self._placing(state.picture)
        x, y = (where.x() - offset.x()) / scale, (where.y() - offset.y()) / scale
        nearest = min(
            range(len(dial.digits)),
            key=lambda i: (dial.digits[i].at.x_mm - x) ** 2 + (dial.digits[i].at.y_mm - y) ** 2,
        )
        self.position_wanted.emit(index, nearest)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Turn a dial under the focus; levers are not flipped by accident."""
        if self._state is not None and self.hasFocus() and self._state.controls[self._at].positions > 2:
            self.step_wanted.emit(self._at, 1 if event.angleDelta().y() > 0 else -1)

    # Drawing

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the picture as large as it fits, and the ring last of all."""
        if self._state is None:
            return
        picture = self._state.picture
        scale, offset = self._placing(picture)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setTransform(QTransform().translate(offset.x(), offset.y()).scale(scale, scale))
        drawn = MmPainter(painter, QColor(self._look.colours.ink))
        draw_picture(drawn, picture, self._tone, screen_inks(self._look, self._tone))
        if self.hasFocus():
            painter.resetTransform()
            self._draw_focus(painter)

    def _draw_focus(self, painter: QPainter) -> None:
        """Draw the ring: round a dial it is round, so that it covers none of its digits."""
        look, box = self._look, self._box(self._at, is_tight=True)
        if self._state is None or self._state.controls[self._at].positions == 2:
            draw_focus(painter, look, box)
            return
        inside = (FOCUS_GAP + FOCUS_RING / 2.0) * look.factor
        painter.setPen(pen(look.colours.focus, FOCUS_RING * look.factor))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(box.adjusted(inside, inside, -inside, -inside))

    def _placing(self, picture: Picture) -> tuple[float, QPointF]:
        """Return scale and top left corner: at most full size, in the middle."""
        room_x = self.width() - 2 * self._look.px(MARGIN)
        room_y = self.height() - 2 * self._look.px(MARGIN)
        scale = min(self._look.factor * 1.25, room_x / picture.width_mm, room_y / picture.height_mm)
        return scale, QPointF(
            (self.width() - picture.width_mm * scale) / 2.0, (self.height() - picture.height_mm * scale) / 2.0
        )

    def _box(self, index: int, *, is_tight: bool = False) -> QRectF:
        """Return where a control is on the widget."""
        if self._state is None or index >= len(self._state.controls):
            return QRectF(0, 0, 1, 1)
        picture = self._state.picture
        scale, offset = self._placing(picture)
        lever = next((one for one in picture.levers if one.index == index), None)
        if lever is not None:
            return _scaled(lever.slot, scale, offset)
        dial = next(one for one in picture.dials if one.index == index)
        reach = dial.radius_mm * (1.0 if is_tight else DIAL_REACH)
        around = Rectangle(dial.center.x_mm - reach, dial.center.y_mm - reach, 2 * reach, 2 * reach)
        return _scaled(around, scale, offset)

    def _say(self) -> None:
        if self._state is None:
            return
        spoken = [one.spoken for one in self._state.controls]
        self.setAccessibleName(f"switches, {spoken[self._at]}")
        self._children.show_names(lambda: spoken)

    def control_box(self, index: int) -> QRect:
        """Return where a control can be pressed, for tests."""
        return self._box(index).toRect()


def _scaled(one: Rectangle, scale: float, offset: QPointF) -> QRectF:
    return QRectF(
        offset.x() + one.x_mm * scale, offset.y() + one.y_mm * scale, one.width_mm * scale, one.height_mm * scale
    )
