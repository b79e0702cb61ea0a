"""The names that went quiet, in letters that are read from two metres; many are addresses only, several in a row."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.quiet_state import NamesState, QuietName
from buswalk.ui.shapes.address_shapes import draw_focus
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_outcome, draw_wire, extent_of
from buswalk.ui.sizes import CAP_HEIGHT_2_M, RADIUS
from buswalk.ui.widgets.focus_ring import draws_own_focus

ROW_HEIGHT = 70
ROW_PITCH = 76
MOST_NAMES = 7
"""From the eighth on addresses stand alone, several in a row."""
BAR = 4
SHAPE_ROOM = 88
SHAPE_SCALE = 2.0
WIDEST_ADDRESS = "000"
GAP = 18
RAISED = 3
"""So much higher than the middle, for letters that reach below the line."""


class QuietRow(QWidget):
    """One name on its ground, with the shape of a missing reply. Enter or a press asks for its device."""

    opened = Signal(int)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._shown: QuietName | None = None
        self._has_name = True
        self.address_font = look.bold_with_capitals(CAP_HEIGHT_2_M)
        self.name_font = QFont(self.address_font)
        self.name_font.setBold(False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("nobody")
        draws_own_focus(self)

    def show_name(self, shown: QuietName, *, has_name: bool) -> None:
        """Show a name, or its address alone."""
        self._shown, self._has_name = shown, has_name
        self.setAccessibleName(shown.spoken)
        self.setToolTip(shown.spoken)
        self.update()

    def name_shown(self) -> str:
        """Return the name as it fits."""
        if self._shown is None or not self._has_name:
            return ""
        room = self.width() - self._left_of_name() - self._look.px(GAP)
        return QFontMetrics(self.name_font).elidedText(self._shown.name, Qt.TextElideMode.ElideRight, room)

    def _address_width(self) -> int:
        return QFontMetrics(self.address_font).horizontalAdvance(WIDEST_ADDRESS)

    def _left_of_name(self) -> int:
        return self._look.px(SHAPE_ROOM + GAP) + self._address_width()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw ground, shape, address, name."""
        if self._shown is None:
            return
        look, doubt = self._look, self._look.colours.doubt
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect())
        painter.setPen(Qt.PenStyle.NoPen)
        painter.fillRect(box, QColor(doubt.tint))
        painter.fillRect(QRectF(0, 0, look.px(BAR), box.height()), QColor(doubt.mark))
        left = look.px(SHAPE_ROOM) if self._has_name else look.px(GAP)
        painter.setPen(QColor(look.colours.ink))
        painter.setFont(self.address_font)
        base = (box.height() + QFontMetrics(self.address_font).capHeight()) / 2.0 - look.px(RAISED)
        painter.drawText(QPointF(left, base), str(self._shown.address))
        if self._has_name:
            self._draw_shape(painter, box.height() / 2.0)
            painter.setPen(QColor(look.colours.ink))
            painter.setFont(self.name_font)
            painter.drawText(QPointF(self._left_of_name(), base), self.name_shown())
        if self.hasFocus():
            away = 6 * look.factor
            draw_focus(painter, look, box.adjusted(away, away, -away, -away))

    def _draw_shape(self, painter: QPainter, middle: float) -> None:
        look = self._look
        drawing = Drawing(look.colours, SHAPE_SCALE * look.factor)
        width = extent_of(OutcomeKind.NO_REPLY).width * SHAPE_SCALE * look.factor
        left = look.px(BAR + 12)
        draw_wire(painter, look.colours, left - look.px(4), left + width + look.px(8), middle)
        draw_outcome(painter, OutcomeKind.NO_REPLY, QPointF(left, middle), drawing)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter: ping it."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._shown is not None:
            self.opened.emit(self._shown.address)
        else:
            super().keyPressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Ping it."""
        if self._shown is not None:
            self.opened.emit(self._shown.address)


class QuietNames(QWidget):
    """All of them, one below the other; while nobody is quiet, how it stands in letters as large."""

    opened = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: NamesState | None = None
        self.rows: list[QuietRow] = []
        self._word_font = look.bold_with_capitals(CAP_HEIGHT_2_M)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("who went quiet")

    def show_names(self, state: NamesState) -> None:
        """Show them."""
        if state == self._state:
            return
        self._state = state
        self.setAccessibleName("who went quiet" if state.names else state.instead or "who went quiet")
        while len(self.rows) < len(state.names):
            row = QuietRow(self._look, self)
            row.opened.connect(self.opened)
            self.rows.append(row)
        self._place()
        self.update()

    def shown_rows(self) -> tuple[QuietRow, ...]:
        """Return the rows that show somebody."""
        return tuple(self.rows[: len(self._state.names)]) if self._state is not None else ()

    def _place(self) -> None:
        names = self._state.names if self._state is not None else ()
        has_names = len(names) <= MOST_NAMES
        look = self._look
        cell = QFontMetrics(self._word_font).horizontalAdvance(WIDEST_ADDRESS) + look.px(2 * GAP)
        columns = 1 if has_names else max(1, (self.width() + look.px(6)) // (cell + look.px(6)))
        width = self.width() if has_names else cell
        for at, row in enumerate(self.rows):
            row.setVisible(at < len(names))
            if at < len(names):
                row.show_name(names[at], has_name=has_names)
                left = (at % columns) * (width + look.px(6))
                row.setGeometry(left, (at // columns) * look.px(ROW_PITCH), width, look.px(ROW_HEIGHT))
        lines = max(1, -(-len(names) // columns))
        height = look.px(ROW_PITCH) * lines
        if self.height() != height or self.minimumHeight() != height:
            self.setFixedHeight(height)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place anew."""
        super().resizeEvent(event)
        self._place()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw how it stands while there are no names."""
        state, look = self._state, self._look
        if state is None or state.names or not state.instead:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(look.colours.sunk))
        box = QRectF(0, 0, self.width(), look.px(ROW_HEIGHT))
        painter.drawRoundedRect(box, RADIUS * look.factor, RADIUS * look.factor)
        left = float(look.px(GAP))
        if state.instead_kind is not None:
            width = extent_of(state.instead_kind).width * SHAPE_SCALE * look.factor
            wire = box.center().y() - look.px(8)
            draw_wire(painter, look.colours, left, left + look.px(64), wire)
            at = QPointF(left + (look.px(64) - width) / 2.0, wire)
            draw_outcome(painter, state.instead_kind, at, Drawing(look.colours, SHAPE_SCALE * look.factor))
            left = float(look.px(SHAPE_ROOM + 12))
        painter.setFont(self._word_font)
        is_state = state.instead_kind is not None
        painter.setPen(QColor(look.colours.ink if is_state else look.colours.ink3))
        base = (box.height() + QFontMetrics(self._word_font).capHeight()) / 2.0
        painter.drawText(QPointF(left, base), state.instead)
