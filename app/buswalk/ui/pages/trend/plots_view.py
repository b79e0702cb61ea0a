"""The plots as a widget: drawn, walked by keys, dragged and zoomed by mouse."""

from __future__ import annotations

import time

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QImage, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.trend.plot_boxes import PlotBoxes
from buswalk.ui.pages.trend.plots_painter import THICK, THIN, PlotsPainter
from buswalk.ui.pages.trend.trend_state import PlotsState
from buswalk.ui.shapes.address_shapes import draw_focus
from buswalk.ui.widgets.card import paint_card
from buswalk.ui.widgets.focus_ring import draws_own_focus
from buswalk.ui.widgets.named_children import NamedChildren

REST_MS = 300
OFTEN_S = 0.5
DRAG_FROM_PX = 4
ZOOM_STEP = 0.8
PAGE_SHARE = 0.5
SHIFT_STEPS = 10
PICTURE_SCALE = 2


class PlotsView(QWidget):
    """Draws a PlotsState; tells what the user does in seconds and shares of the window."""

    cursor_put = Signal(float)
    cursor_moved = Signal(int)
    cursor_home = Signal()
    cursor_end = Signal()
    panned = Signal(float)
    zoomed = Signal(float, object)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._painter = PlotsPainter(look)
        self._state = PlotsState()
        self._pressed: QPointF | None = None
        self._is_dragged = False
        self._drawn_s = 0.0
        self._is_at_rest = False
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_MS)
        self._rest.timeout.connect(self.come_to_rest)
        self._children = NamedChildren(self, self._child_box)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("plots")
        draws_own_focus(self)

    def show_plots(self, state: PlotsState) -> None:
        """Show another state."""
        if state == self._state:
            return
        self._state = state
        self.setAccessibleDescription("; ".join(state.spoken))
        self._children.show_names(self.names)
        self.update()

    def sizeHint(self) -> QSize:
        """Most of a page."""
        return QSize(self._look.px(760), self._look.px(480))

    def minimumSizeHint(self) -> QSize:
        """Three plots that can still be read."""
        return QSize(self._look.px(420), self._look.px(300))

    def save_picture(self, path: str) -> bool:
        """Draw the plots into a file, twice as fine; False if it cannot be written."""
        image = QImage(self.size() * PICTURE_SCALE, QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(PICTURE_SCALE)
        image.fill(QColor(self._look.colours.panel))
        painter = QPainter(image)
        self._painter.draw(painter, QRectF(self.rect()), self._state, THICK)
        painter.end()
        return bool(image.save(path))

    # Drawing

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw card and plots: thin while they move, thicker at rest."""
        now_s = time.monotonic()
        is_often = now_s - self._drawn_s < OFTEN_S and not self._is_at_rest
        self._drawn_s = now_s
        self._is_at_rest = False
        if is_often:
            self._rest.start()
        paint_card(self, self._look)
        painter = QPainter(self)
        if self._state.plots:
            self._painter.draw(painter, QRectF(self.rect()), self._state, THIN if is_often else THICK)
        if self.hasFocus():
            draw_focus(painter, self._look, QRectF(self.rect()).adjusted(6, 6, -6, -6))

    def come_to_rest(self) -> None:
        """Draw thicker: nothing has moved for a while."""
        self._is_at_rest = True
        self.update()

    # Keys and mouse

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk the cursor; plus and minus zoom, page keys pan."""
        steps = SHIFT_STEPS if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        match Qt.Key(event.key()):
            case Qt.Key.Key_Left:
                self.cursor_moved.emit(-steps)
            case Qt.Key.Key_Right:
                self.cursor_moved.emit(steps)
            case Qt.Key.Key_Home:
                self.cursor_home.emit()
            case Qt.Key.Key_End:
                self.cursor_end.emit()
            case Qt.Key.Key_Plus | Qt.Key.Key_Up:
                self.zoomed.emit(ZOOM_STEP, None)
            case Qt.Key.Key_Minus | Qt.Key.Key_Down:
                self.zoomed.emit(1.0 / ZOOM_STEP, None)
            case Qt.Key.Key_PageUp:
                self.panned.emit(-PAGE_SHARE)
            case Qt.Key.Key_PageDown:
                self.panned.emit(PAGE_SHARE)
            case _:
                super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom round the mouse; sideways or with Shift, pan."""
        turned = event.angleDelta()
        if turned.x() or event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self.panned.emit(-(turned.x() or turned.y()) / 1200.0)
        elif turned.y():
            self.zoomed.emit(ZOOM_STEP ** (turned.y() / 120.0), self._time_at(event.position()))
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a click or a drag."""
        self._pressed, self._is_dragged = event.position(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the window along."""
        if self._pressed is None:
            return
        by = event.position().x() - self._pressed.x()
        if self._is_dragged or abs(by) >= DRAG_FROM_PX:
            self._is_dragged = True
            self._pressed = event.position()
            self.panned.emit(-by / self.boxes().width)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click puts the cursor there."""
        if self._pressed is not None and not self._is_dragged:
            self.cursor_put.emit(self._time_at(event.position()))
        self._pressed = None

    def boxes(self) -> PlotBoxes:
        """Where the plots stand."""
        return self._painter.boxes(QRectF(self.rect()), self._state)

    def _time_at(self, place: QPointF) -> float:
        return float(self.boxes().time_of(self._state.window, place.x()))

    # For readers

    def names(self) -> list[str]:
        """What readers are told of plots, marks and gaps, one after the other."""
        names = []
        for plot in self._state.plots:
            spoken = {one.spoken.rsplit(", ", 1)[0] for one in plot.curves}
            values = [one for one in self._state.spoken if one.rsplit(": ", 1)[0] in spoken]
            names.append(f"plot of {plot.unit or 'states'}: {', '.join(values)}")
        names += [f"mark {one.number}, {one.words}" for one in self._state.marks]
        names += [f"gap, {one.words}" for one in self._state.gaps]
        return names

    def _child_box(self, at: int) -> QRect:
        boxes = self.boxes().boxes
        return boxes[at].toRect() if at < len(boxes) else QRect(0, 0, 1, 1)
