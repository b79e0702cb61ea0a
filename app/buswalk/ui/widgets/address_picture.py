"""The picture of all addresses: tens across, ones down, a shape for each state; walked by arrows, reached by digits."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPoint, QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.address_states import AddressState
from buswalk.ui.look import Look, pen
from buswalk.ui.shapes.address_shapes import draw_address, draw_asked_now, draw_focus
from buswalk.ui.sizes import ADDRESS_CELL_TEXT, CAPTION_TEXT, FOCUS_GAP, FOCUS_RING
from buswalk.ui.widgets.focus_ring import draws_own_focus
from buswalk.ui.widgets.named_children import NamedChildren

COLUMNS, ROWS = 25, 10
ADDRESSES = COLUMNS * ROWS
SMALL_CELL, LARGE_CELL = 20, 30
HEAD_HEIGHT, HEAD_WIDTH = 16, 22
RULED_EVERY = 50
FIRST, LAST = 1, 247
TYPING_S = 1.2
"""Digits typed within this time of one another are one address."""
_STEPS = {
    Qt.Key.Key_Left: -ROWS,
    Qt.Key.Key_Right: ROWS,
    Qt.Key.Key_Up: -1,
    Qt.Key.Key_Down: 1,
    Qt.Key.Key_PageUp: -RULED_EVERY,
    Qt.Key.Key_PageDown: RULED_EVERY,
}


class AddressPicture(QWidget):
    """Draws the states; tells which address the user walks to and opens. `describe` is what a reader says of one."""

    walked = Signal(int)
    opened = Signal(int)

    def __init__(self, look: Look, describe: Callable[[int], str]) -> None:
        super().__init__()
        self._look = look
        self._describe = describe
        self._states: tuple[AddressState, ...] = (AddressState.NOT_ASKED,) * ADDRESSES
        self._asked_now: int | None = None
        self._focused = FIRST
        self._cell = look.px(SMALL_CELL)
        self._typed = ""
        self._children = NamedChildren(self, lambda at: self.box_of(at).toRect())
        self._typing = QTimer(self)
        self._typing.setSingleShot(True)
        self._typing.setInterval(round(TYPING_S * 1000))
        self._typing.timeout.connect(self._forget_typed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("addresses")
        self.setAccessibleDescription("arrows walk, digits go to an address, Enter opens it")
        draws_own_focus(self)

    def show_picture(self, states: tuple[AddressState, ...], asked_now: int | None, focused: int) -> None:
        """Show these states; the address being asked stands in brackets, the focused one in the ring."""
        if (states, asked_now, focused) == (self._states, self._asked_now, self._focused):
            return
        changed = [at for at, (new, old) in enumerate(zip(states, self._states, strict=True)) if new is not old]
        for one, other in ((asked_now, self._asked_now), (focused, self._focused)):
            if one != other:
                changed += [at for at in (one, other) if at is not None]
        self._states, self._asked_now, self._focused = states, asked_now, focused
        for address in changed:
            self.update(self._reach_of(address))
        self.setAccessibleName(f"addresses, {self._describe(focused)}")
        self._children.show_names(lambda: [self._describe(address) for address in range(ADDRESSES)])

    def fit(self, width: int) -> None:
        """Make the cells as large as fits a width, from 20 to 30 px."""
        room = (width - self._look.px(HEAD_WIDTH)) // COLUMNS
        cell = max(self._look.px(SMALL_CELL), min(self._look.px(LARGE_CELL), room))
        if cell != self._cell:
            self._cell = cell
            self.updateGeometry()
            self.update()

    def sizeHint(self) -> QSize:
        """Heads and cells, and room for the ring."""
        return QSize(
            self._look.px(HEAD_WIDTH) + COLUMNS * self._cell + 1,
            self._look.px(HEAD_HEIGHT) + ROWS * self._cell + self._look.px(1),
        )

    def minimumSizeHint(self) -> QSize:
        """The same: no cell is cut."""
        return self.sizeHint()

    def box_of(self, address: int) -> QRectF:
        """Return where an address stands."""
        left = self._look.px(HEAD_WIDTH) + address // ROWS * self._cell
        top = self._look.px(HEAD_HEIGHT) + address % ROWS * self._cell
        return QRectF(left, top, self._cell, self._cell)

    def _reach_of(self, address: int) -> QRect:
        """Return what is drawn anew with an address: its cell, brackets and ring, which reach over the neighbours."""
        away = self._look.px(FOCUS_GAP + FOCUS_RING + 2)
        return self.box_of(address).toAlignedRect().adjusted(-away, -away, away, away)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Draw the ring."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take it away."""
        super().focusOutEvent(event)
        self.update()

    def address_at(self, point: QPoint) -> int:
        """Return the address nearest to a point: a press beside a cell still finds it."""
        column = (point.x() - self._look.px(HEAD_WIDTH)) // self._cell
        row = (point.y() - self._look.px(HEAD_HEIGHT)) // self._cell
        return max(0, min(COLUMNS - 1, column)) * ROWS + max(0, min(ROWS - 1, row))

    def go_to(self, address: int) -> None:
        """Take the focus to an address; the next step starts from there, drawn or not."""
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        left, self._focused = self._focused, max(0, min(ADDRESSES - 1, address))
        for one in (left, self._focused):
            self.update(self._reach_of(one))
        self.setAccessibleName(f"addresses, {self._describe(self._focused)}")
        self.walked.emit(self._focused)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk, Home and End go to the ends, digits go to an address, Enter opens."""
        key = Qt.Key(event.key())
        if key in _STEPS:
            self.go_to(self._focused + _STEPS[key])
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.go_to(FIRST if key == Qt.Key.Key_Home else LAST)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit(self._focused)
        elif event.text().isdigit() and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._type(event.text())
        else:
            super().keyPressEvent(event)

    def _type(self, digit: str) -> None:
        self._typed = (self._typed + digit)[-3:]
        self._typing.start()
        if int(self._typed) < ADDRESSES:
            self.go_to(int(self._typed))

    def _forget_typed(self) -> None:
        self._typed = ""

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Walk to the nearest cell."""
        self.go_to(self.address_at(event.position().toPoint()))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Open the nearest cell."""
        self.opened.emit(self.address_at(event.position().toPoint()))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw heads, rules and cells, as far as they have changed; brackets and ring last, over their neighbours."""
        painter = QPainter(self)
        self._draw_heads(painter)
        region = event.region()
        for address, state in enumerate(self._states):
            box = self.box_of(address)
            if region.intersects(box.toAlignedRect()):
                draw_address(painter, self._look, state, box, address)
        if self._asked_now is not None and self._asked_now < ADDRESSES:
            draw_asked_now(painter, self._look, self.box_of(self._asked_now))
        if self.hasFocus():
            draw_focus(painter, self._look, self.box_of(self._focused))

    def _draw_heads(self, painter: QPainter) -> None:
        look = self._look
        painter.setFont(look.regular(ADDRESS_CELL_TEXT if self._cell < look.px(LARGE_CELL) else CAPTION_TEXT - 1))
        painter.setPen(QColor(look.colours.ink2))
        every = 2 if self._cell < look.px(LARGE_CELL) else 1
        head = look.px(HEAD_HEIGHT)
        for column in range(0, COLUMNS, every):
            middle = self.box_of(column * ROWS).center().x()
            box = QRect(round(middle) - look.px(20), 0, look.px(40), head)
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), str(column * ROWS))
        for row in range(ROWS):
            top = round(self.box_of(row).top())
            box = QRect(0, top, look.px(HEAD_WIDTH) - look.px(4), self._cell)
            painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), f"+{row}")
        painter.setPen(pen(look.colours.hair, 1.0))
        for address in range(RULED_EVERY, ADDRESSES, RULED_EVERY):
            x = self.box_of(address).left()
            painter.drawLine(round(x), head, round(x), head + ROWS * self._cell)
