"""Shapes as small widgets, to stand beside words in a layout."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.address_states import AddressState
from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.shapes.address_shapes import draw_address
from buswalk.ui.shapes.outcome_shapes import TABLE_WIRE, Drawing, draw_in_table


class OutcomeSign(QWidget):
    """The shape of an outcome with its piece of wire, as in tables."""

    def __init__(self, look: Look, kind: OutcomeKind, exception_code: int = 0) -> None:
        super().__init__()
        self._look = look
        self._kind = kind
        self._code = exception_code
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(kind.word)

    def show_kind(self, kind: OutcomeKind, exception_code: int = 0) -> None:
        """Show another one."""
        self._kind, self._code = kind, exception_code
        self.setAccessibleName(kind.word)
        self.update()

    def sizeHint(self) -> QSize:
        """The wire's width."""
        return QSize(self._look.px(TABLE_WIRE + 2), self._look.px(24))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        drawing = Drawing(self._look.colours, self._look.factor, self._code)
        draw_in_table(painter, self._kind, QRectF(self.rect()), drawing)


class AddressSign(QWidget):
    """The shape of an address's state; with a number it is the cell itself."""

    def __init__(self, look: Look, state: AddressState, number: int | None = None, side: int = 20) -> None:
        super().__init__()
        self._look = look
        self._state = state
        self._number = number
        self.setFixedSize(look.px(side), look.px(side))
        self.setAccessibleName(state.word)

    def show_state(self, state: AddressState, number: int | None = None) -> None:
        """Show another state."""
        self._state, self._number = state, number
        self.setAccessibleName(state.word)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw it."""
        draw_address(QPainter(self), self._look, self._state, QRectF(self.rect()), self._number)
