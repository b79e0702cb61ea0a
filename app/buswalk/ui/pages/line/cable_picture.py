"""The drawing of the pair along its cable: two wires, a tap and a cell for each device, strangers apart."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.line.cable_state import CablePoint, CableState
from buswalk.ui.pages.page import Narrow
from buswalk.ui.shapes.address_shapes import draw_focus
from buswalk.ui.sizes import CAPTION_TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.focus_ring import draws_own_focus
from buswalk.ui.widgets.labels import caption, heading, sentence
from buswalk.ui.widgets.shape_widgets import AddressSign

TITLE = "The pair, along its cable"
CELL = 26
LEAST_PITCH = 30
HIGH_WIRE, LOW_WIRE = 22, 42
CELL_TOP = 62
HEIGHT, HEIGHT_OF_SPOTS = 94, 18
LEFT, RIGHT = 96, 64
"""Room for the names of the wires, and for the far end."""


class CablePicture(QWidget):
    """Draws a CableState. Arrows walk along it, Enter opens the plan; `pointed` tells which device is looked at."""

    pointed = Signal(str)
    opened = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: CableState | None = None
        self._signs: list[AddressSign] = []
        self._shown = 0
        self._at = -1
        self.setAccessibleName("the pair along its cable")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(look.px(HEIGHT))
        draws_own_focus(self)

    def sizeHint(self) -> QSize:
        """As wide as there is room."""
        return QSize(self._look.px(640), self._look.px(HEIGHT))

    def show_cable(self, state: CableState) -> None:
        """Show these devices."""
        if state == self._state:
            return
        self._state = state
        self.setFixedHeight(self._look.px(HEIGHT + (HEIGHT_OF_SPOTS if state.groups else 0)))
        self.setAccessibleDescription(f"{state.words} {state.client_end}")
        self._place()
        self.update()
        if self.hasFocus():
            self.pointed.emit(self._words_at(self._at))

    # Placing

    def _all(self) -> tuple[CablePoint, ...]:
        return () if self._state is None else (*self._state.points, *self._state.strangers)

    def _place(self) -> None:
        """Put a sign for each device that fits; what does not is counted."""
        points = self._all()
        planned = 0 if self._state is None else len(self._state.points)
        strangers = len(points) - planned
        self._shown = min(planned, max(1, int((self._cable_right() - self._cable_left()) / self._look.px(LEAST_PITCH))))
        places = [self._cell_of(i) for i in range(self._shown)]
        places += [self._stranger_cell(i) for i in range(strangers)]
        shown = (*points[: self._shown], *points[planned:])
        while len(self._signs) < len(shown):
            sign = AddressSign(self._look, shown[len(self._signs)].state, None, CELL)
            sign.setParent(self)
            sign.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            self._signs.append(sign)
        for i, sign in enumerate(self._signs):
            sign.setVisible(i < len(shown))
            if i < len(shown):
                sign.show_state(shown[i].state, shown[i].number)
                sign.setAccessibleName(shown[i].words)
                sign.move(places[i].topLeft().toPoint())
        self._at = min(self._at, len(shown) - 1)

    def _strangers_width(self) -> float:
        count = 0 if self._state is None else len(self._state.strangers)
        if not count:
            return 0.0
        words = QFontMetrics(self._look.regular(CAPTION_TEXT)).horizontalAdvance("place not known")
        return max(count * self._look.px(LEAST_PITCH), words) + self._look.px(24)

    def _cable_left(self) -> float:
        return float(self._look.px(LEFT))

    def _cable_right(self) -> float:
        return self.width() - self._look.px(RIGHT) - self._strangers_width()

    def _cell_of(self, index: int) -> QRectF:
        """Return the cell of a planned device."""
        pitch = (self._cable_right() - self._cable_left()) / max(self._shown, 1)
        side = self._look.px(CELL)
        middle = self._cable_left() + pitch * (index + 0.5)
        return QRectF(round(middle - side / 2.0), self._look.px(CELL_TOP), side, side)

    def _stranger_cell(self, index: int) -> QRectF:
        side = self._look.px(CELL)
        left = self.width() - self._strangers_width() + self._look.px(16) + index * self._look.px(LEAST_PITCH)
        return QRectF(round(left), self._look.px(CELL_TOP), side, side)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place anew."""
        super().resizeEvent(event)
        self._place()

    # Drawing

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw wires, taps, ends and spots; the cells are widgets of their own."""
        if self._state is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_pair(painter)
        self._draw_ends(painter, self._state)
        self._draw_groups(painter, self._state)
        signs = [sign for sign in self._signs if sign.isVisibleTo(self)]
        if self.hasFocus() and signs:
            draw_focus(painter, self._look, QRectF(signs[max(self._at, 0)].geometry()))
        elif self.hasFocus():
            draw_focus(painter, self._look, QRectF(self.rect()).adjusted(6, 6, -6, -6))

    def _draw_pair(self, painter: QPainter) -> None:
        look, colours = self._look, self._look.colours
        left, right = self._cable_left() - look.px(14), self._cable_right() + look.px(14)
        painter.setPen(pen(colours.ink, 2.4 * look.factor))
        for y in (HIGH_WIRE, LOW_WIRE):
            painter.drawLine(QPointF(left, look.px(y)), QPointF(right, look.px(y)))
        painter.setPen(pen(colours.ink2, 1.6 * look.factor))
        for i in range(self._shown):
            cell = self._cell_of(i)
            for x, y in ((cell.center().x() - look.px(4), HIGH_WIRE), (cell.center().x() + look.px(4), LOW_WIRE)):
                painter.drawLine(QPointF(x, look.px(y)), QPointF(x, cell.top()))

    def _draw_ends(self, painter: QPainter, state: CableState) -> None:
        look, colours = self._look, self._look.colours
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(colours.ink2))
        edge = self._cable_left() - look.px(24)
        right_middle = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        for words, y in (("idle-high", HIGH_WIRE), ("idle-low", LOW_WIRE)):
            painter.drawText(QRectF(0, look.px(y - 10), edge, look.px(20)), right_middle, words)
        end = QRectF(self._cable_right() + look.px(20), look.px(HIGH_WIRE - 4), look.px(RIGHT), look.px(28))
        painter.drawText(end, int(Qt.AlignmentFlag.AlignVCenter), "far end")
        if state.is_terminated:
            self._draw_terminator(painter)
        painter.setPen(QColor(colours.ink2))
        planned = len(state.points)
        if planned > self._shown:
            left = QRectF(self._cable_left(), look.px(0), self.width(), look.px(16))
            painter.drawText(left, int(Qt.AlignmentFlag.AlignVCenter), f"{planned - self._shown} more on Plan")
        if state.strangers:
            apart = self._stranger_cell(0)
            room = QRectF(apart.left(), look.px(LOW_WIRE - 8), self._strangers_width(), look.px(20))
            painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter), "place not known")

    def _draw_terminator(self, painter: QPainter) -> None:
        look, colours = self._look, self._look.colours
        x = self._cable_left() - look.px(14)
        painter.setPen(pen(colours.ink, 1.6 * look.factor))
        painter.drawLine(QPointF(x, look.px(HIGH_WIRE)), QPointF(x, look.px(LOW_WIRE)))
        painter.setBrush(QColor(colours.panel))
        painter.drawRect(QRectF(x - look.px(4), look.px(HIGH_WIRE + 4), look.px(8), look.px(LOW_WIRE - HIGH_WIRE - 8)))

    def _draw_groups(self, painter: QPainter, state: CableState) -> None:
        """Write under neighbours where they hang; what does not fit under its own cells is left to the plan."""
        look = self._look
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(look.colours.ink2))
        metrics = QFontMetrics(look.regular(CAPTION_TEXT))
        pitch = (self._cable_right() - self._cable_left()) / max(self._shown, 1)
        for group in state.groups:
            if group.last >= self._shown:
                continue
            left = self._cell_of(group.first).center().x() - pitch / 2.0
            room = QRectF(left, look.px(CELL_TOP + CELL + 4), pitch * (group.last - group.first + 1), look.px(18))
            if metrics.horizontalAdvance(group.words) <= room.width() - look.px(4):
                painter.drawText(room, int(Qt.AlignmentFlag.AlignCenter), group.words)

    # Looking at one device

    def _words_at(self, index: int) -> str:
        planned = 0 if self._state is None else len(self._state.points)
        points = (*self._all()[: self._shown], *self._all()[planned:])
        return points[index].words if 0 <= index < len(points) else ""

    def _look_at(self, index: int) -> None:
        count = sum(sign.isVisibleTo(self) for sign in self._signs)
        self._at = min(max(index, 0), count - 1)
        self.pointed.emit(self._words_at(self._at))
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk, Home and End go to the ends, Enter opens the plan."""
        steps = {Qt.Key.Key_Left: self._at - 1, Qt.Key.Key_Right: self._at + 1, Qt.Key.Key_Home: 0}
        key = Qt.Key(event.key())
        if key in steps:
            self._look_at(steps[key])
        elif key is Qt.Key.Key_End:
            self._look_at(len(self._signs))
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Tell which device is looked at."""
        super().focusInEvent(event)
        self._look_at(self._at)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Nobody looks at one any more."""
        super().focusOutEvent(event)
        self.pointed.emit("")
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Tell which device is under the mouse."""
        under = [i for i, sign in enumerate(self._signs) if sign.geometry().contains(event.position().toPoint())]
        self.pointed.emit(self._words_at(under[0] if under else self._at if self.hasFocus() else -1))


class CableCard(Card):
    """The picture with its words; while a device is looked at, its words stand in their place."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "")
        self.setAccessibleName(TITLE)
        self._state: CableState | None = None
        self._pointed = ""
        self._words = sentence(look)
        self._aside = caption(look)
        head = QHBoxLayout()
        head.setSpacing(look.px(16))
        head.addWidget(heading(look, TITLE))
        is_narrow = narrow is Narrow.YES
        if is_narrow:
            head.addStretch(1)
        else:
            head.addWidget(self._words, 1)
        head.addWidget(self._aside)
        self.body.addLayout(head)
        if is_narrow:
            self.body.addWidget(self._words)
        self.picture = CablePicture(look)
        self.body.addWidget(self.picture)
        self.picture.pointed.connect(self._point)

    def show_cable(self, state: CableState) -> None:
        """Show a cable."""
        self._state = state
        self._aside.show_text(state.aside, Tone.INK2)
        self._aside.setVisible(bool(state.aside))
        self.picture.show_cable(state)
        self._say()

    def _point(self, words: str) -> None:
        self._pointed = words
        self._say()

    def _say(self) -> None:
        if self._state is not None:
            self._words.show_text(self._pointed or self._state.words, Tone.INK if self._pointed else Tone.INK2)
