"""The matrix of settings, drawn: speeds down, framings across, bars for what was asked, a frame round the one asked."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.find.search_state import SettingCell, SettingsState
from buswalk.ui.shapes.address_shapes import draw_focus
from buswalk.ui.sizes import CAPTION_TEXT, TEXT
from buswalk.ui.widgets.focus_ring import draws_own_focus
from buswalk.ui.widgets.named_children import NamedChildren

ROW_HEIGHT, TALLEST_ROW, HEAD_HEIGHT = 20, 32, 17
SPEED_WIDTH = 62
BAR_WIDTH, BAR_HEIGHT = 34, 8
LEAST_BAR, BAR_GAP = 12, 6
"""A bar gives way to its words."""
FEWEST_ROWS, USUAL_ROWS = 2, 6


class SettingsMatrix(QWidget):
    """Shows as many rows as fit; the one being asked, or walked to, is always among them."""

    walked = Signal()
    rows_shown = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state = SettingsState((), ())
        self._first = 0
        self._row = self._column = 0
        self._children = NamedChildren(self, self._child_box)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("settings")
        draws_own_focus(self)

    def show_state(self, state: SettingsState) -> None:
        """Show another state; the row being asked comes into sight unless the user walks here."""
        if state == self._state:
            return
        self._state = state
        asked = [i for i, row in enumerate(state.rows) if any(cell.is_asked_now for cell in row.cells)]
        if not self.hasFocus():
            self._bring_into_sight(asked[0] if asked else 0)
        self._row = min(self._row, max(0, len(state.rows) - 1))
        self._say()
        self.update()

    @property
    def rows_in_sight(self) -> int:
        """How many rows fit."""
        fit = (self.height() - self._look.px(HEAD_HEIGHT)) // self._look.px(ROW_HEIGHT)
        return max(1, min(len(self._state.rows), fit))

    @property
    def _row_height(self) -> float:
        """Rows grow where all of them have room to."""
        room = (self.height() - self._look.px(HEAD_HEIGHT)) / max(1, len(self._state.rows))
        return float(max(self._look.px(ROW_HEIGHT), min(self._look.px(TALLEST_ROW), int(room))))

    @property
    def spoken(self) -> str:
        """The walked-to cell in words."""
        cell = self._cell_walked_to()
        return cell.spoken if cell is not None else ""

    def sizeHint(self) -> QSize:
        """Six rows."""
        return QSize(self._look.px(420), self._look.px(HEAD_HEIGHT + USUAL_ROWS * ROW_HEIGHT))

    def minimumSizeHint(self) -> QSize:
        """Two rows: under a band and a low window the rest is walked to."""
        return QSize(self._look.px(360), self._look.px(HEAD_HEIGHT + FEWEST_ROWS * ROW_HEIGHT))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk the cells."""
        match Qt.Key(event.key()):
            case Qt.Key.Key_Up:
                self._walk(-1, 0)
            case Qt.Key.Key_Down:
                self._walk(1, 0)
            case Qt.Key.Key_Left:
                self._walk(0, -1)
            case Qt.Key.Key_Right:
                self._walk(0, 1)
            case _:
                super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Move the rows."""
        step = -1 if event.angleDelta().y() > 0 else 1
        last = len(self._state.rows) - self.rows_in_sight
        self._first = max(0, min(last, self._first + step))
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Walk to the cell under the mouse."""
        at = event.position().toPoint()
        for row in range(self._first, self._first + self.rows_in_sight):
            for column in range(len(self._state.heads)):
                if self._box(row, column).contains(at.x(), at.y()):
                    self._row, self._column = row, column
                    self._walk(0, 0)

    def _walk(self, down: int, right: int) -> None:
        self._row = max(0, min(len(self._state.rows) - 1, self._row + down))
        self._column = max(0, min(len(self._state.heads) - 1, self._column + right))
        self._bring_into_sight(self._row)
        self._say()
        self.walked.emit()
        self.update()

    def _say(self) -> None:
        self.setAccessibleName(f"settings, {self.spoken}" if self.spoken else "settings")
        cells = [cell.spoken for row in self._state.rows for cell in row.cells]
        self._children.show_names(lambda: cells)

    def _cell_walked_to(self) -> SettingCell | None:
        if not self._state.rows:
            return None
        return self._state.rows[self._row].cells[self._column]

    def _bring_into_sight(self, row: int) -> None:
        if row < self._first:
            self._first = row
        elif row >= self._first + self.rows_in_sight:
            self._first = row - self.rows_in_sight + 1
        self.rows_shown.emit()

    def _column_width(self) -> float:
        return (self.width() - self._look.px(SPEED_WIDTH)) / max(1, len(self._state.heads))

    def _box(self, row: int, column: int) -> QRectF:
        look = self._look
        width = self._column_width()
        top = look.px(HEAD_HEIGHT) + (row - self._first) * self._row_height
        return QRectF(look.px(SPEED_WIDTH) + column * width, top, width, self._row_height)

    def _child_box(self, at: int) -> QRect:
        columns = max(1, len(self._state.heads))
        row = at // columns
        if not self._first <= row < self._first + self.rows_in_sight:
            return QRect(0, 0, 1, 1)
        return self._box(row, at % columns).toRect()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw heads and rows."""
        look, colours = self._look, self._look.colours
        self._first = max(0, min(self._first, len(self._state.rows) - self.rows_in_sight))
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = int(Qt.AlignmentFlag.AlignVCenter)
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(colours.ink2))
        for column, head in enumerate(self._state.heads):
            box = QRectF(
                self._box(self._first, column).left() + look.px(6), 0, self._column_width(), look.px(HEAD_HEIGHT)
            )
            painter.drawText(box, middle, head)
        for row in range(self._first, min(len(self._state.rows), self._first + self.rows_in_sight)):
            self._draw_row(painter, row)
        if self.hasFocus() and self._state.rows:
            draw_focus(painter, look, self._box(self._row, self._column).adjusted(4, 2, -8, -2))

    def _draw_row(self, painter: QPainter, row: int) -> None:
        look, colours = self._look, self._look.colours
        top = self._box(row, 0).top()
        painter.setPen(pen(colours.hair, 1.0))
        painter.drawLine(0, round(top), self.width(), round(top))
        painter.setPen(QColor(colours.ink))
        painter.setFont(look.bold(TEXT))
        speed = QRectF(0, top, look.px(SPEED_WIDTH) - look.px(7), self._row_height)
        painter.drawText(
            speed, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight), self._state.rows[row].speed
        )
        for column, cell in enumerate(self._state.rows[row].cells):
            self._draw_cell(painter, cell, self._box(row, column))

    def _draw_cell(self, painter: QPainter, cell: SettingCell, box: QRectF) -> None:
        look, colours = self._look, self._look.colours
        left = box.left() + look.px(6)
        if cell.share_asked is None:
            painter.setPen(pen(colours.edge, 1.2 * look.factor))
            y = round(box.center().y()) + 0.5
            if not cell.is_left_out:
                painter.drawLine(round(left), round(y), round(left) + look.px(8), round(y))
            left += look.px(14)
        else:
            height = look.px(BAR_HEIGHT)
            font = look.bold(TEXT) if cell.has_found else look.regular(TEXT)
            beside = QFontMetrics(font).horizontalAdvance(cell.words) + look.px(2 * BAR_GAP)
            room = max(look.px(LEAST_BAR), min(look.px(BAR_WIDTH), box.right() - left - beside))
            bar = QRectF(left, round(box.center().y() - height / 2.0), room, height)
            painter.fillRect(bar, QColor(colours.hair))
            painter.fillRect(
                QRectF(bar.left(), bar.top(), bar.width() * cell.share_asked, bar.height()), QColor(colours.ink2)
            )
            left = bar.right() + look.px(BAR_GAP)
        painter.setFont(look.bold(TEXT) if cell.has_found else look.regular(TEXT))
        tone = colours.ink if cell.has_found else colours.ink2 if cell.share_asked is not None else colours.ink3
        painter.setPen(QColor(tone))
        painter.drawText(
            QRectF(left, box.top(), box.right() - left, box.height()), int(Qt.AlignmentFlag.AlignVCenter), cell.words
        )
        if cell.is_asked_now:
            painter.setPen(pen(colours.ink, 2.0 * look.factor))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box.adjusted(1, 1.5, -2, -1.5))
