"""Tables: rows of finished words, with shapes before them where they belong. One model, one delegate, one view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QGuiApplication, QKeyEvent, QKeySequence, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from buswalk.ui.address_states import AddressState
from buswalk.ui.look import Look, pen
from buswalk.ui.shapes.address_shapes import draw_address
from buswalk.ui.shapes.outcome_shapes import TABLE_WIRE, Drawing, draw_in_table
from buswalk.ui.sizes import CAPTION_TEXT, KEY_VALUE_TEXT, ROW, TABLE_HEAD, TEXT
from buswalk.ui.table_cells import Cell, Column, Row, Weight
from buswalk.ui.tone_colours import text_colour
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.focus_ring import draws_own_focus

__all__ = ["Cell", "Column", "Row", "RowsModel", "Table", "Weight", "tight"]

CellIndex = QModelIndex | QPersistentModelIndex
CELL_PAD = 8
SHAPE_SIDE = 20


class RowsModel(QAbstractTableModel):
    """Rows as a presenter gives them; tells Qt only what differs."""

    def __init__(self, columns: Sequence[Column]) -> None:
        super().__init__()
        self._columns = tuple(columns)
        self._rows: tuple[Row, ...] = ()

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show these rows."""
        new, old = tuple(rows), self._rows
        if new == old:
            return
        kept = min(len(new), len(old))
        if len(old) > len(new):
            self.beginRemoveRows(QModelIndex(), len(new), len(old) - 1)
            self._rows = old[: len(new)]
            self.endRemoveRows()
        differ = [i for i in range(kept) if old[i] != new[i]]
        if len(new) > len(old):
            self.beginInsertRows(QModelIndex(), len(old), len(new) - 1)
            self._rows = new
            self.endInsertRows()
        self._rows = new
        if differ:
            self.dataChanged.emit(self.index(differ[0], 0), self.index(differ[-1], len(self._columns) - 1))

    def show_head(self, column: int, words: str) -> None:
        """Show other words over a column."""
        if words != self._columns[column].head:
            changed = replace(self._columns[column], head=words)
            self._columns = (*self._columns[:column], changed, *self._columns[column + 1 :])
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, column, column)

    def cell(self, row: int, column: int) -> Cell:
        """Return one cell."""
        return self._rows[row][column]

    def row_words(self, row: int) -> str:
        """Return a row as text, cells parted by tabs."""
        return "\t".join(cell.words for cell in self._rows[row])

    @property
    def columns(self) -> tuple[Column, ...]:
        """The columns."""
        return self._columns

    def rowCount(self, parent: CellIndex | None = None) -> int:
        """Return how many rows; Qt asks."""
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: CellIndex | None = None) -> int:
        """Return how many columns; Qt asks."""
        return 0 if parent is not None and parent.isValid() else len(self._columns)

    def data(self, index: CellIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return what Qt asks of a cell; the delegate takes the cell itself."""
        cell = self._rows[index.row()][index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            return cell.words
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return cell.spoken or cell.words or (cell.shape.word if cell.shape else "")
        if role == Qt.ItemDataRole.ToolTipRole and self._columns[index.column()].may_be_cut:
            return cell.words
        return None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return the head of a column."""
        if orientation is not Qt.Orientation.Horizontal:
            return None
        column = self._columns[section]
        if role == Qt.ItemDataRole.DisplayRole:
            return column.head
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if column.is_right else Qt.AlignmentFlag.AlignLeft
            return int(side | Qt.AlignmentFlag.AlignVCenter)
        return None


class _Draws(QStyledItemDelegate):
    """Draws a cell: ground, shape, words, hair, ink bar of the selected row, ring of the current cell."""

    def __init__(self, look: Look, model: RowsModel, view: QTableView) -> None:
        super().__init__(view)
        self._look = look
        self._model = model
        self._view = view
        self._fonts = {
            Weight.REGULAR: look.regular(TEXT),
            Weight.BOLD: look.bold(TEXT),
            Weight.KEY: look.bold(KEY_VALUE_TEXT),
            Weight.FIXED: look.fixed(TEXT),
        }

    def font(self, weight: Weight) -> QFont:
        """Return the face of a cell."""
        return self._fonts[weight]

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: CellIndex) -> None:
        """Draw one cell."""
        rect = QRectF(option.rect)
        state = option.state
        is_selected = bool(state & QStyle.StateFlag.State_Selected)
        colours = self._look.colours
        cell = self._model.cell(index.row(), index.column())
        painter.save()
        painter.fillRect(rect, QColor(colours.select if is_selected else colours.panel))
        painter.setPen(pen(colours.hair, 1.0))
        foot = rect.bottom() - 0.5
        painter.drawLine(QPointF(rect.left(), foot), QPointF(rect.right(), foot))
        if is_selected and index.column() == 0:
            painter.fillRect(QRectF(rect.left(), rect.top(), 3 * self._look.factor, rect.height()), QColor(colours.ink))
        left = rect.left() + self._look.px(CELL_PAD)
        left = self._shape(painter, cell, rect, left)
        tone = Tone.INK if is_selected and cell.tone not in (Tone.INK2, Tone.INK3) else cell.tone
        painter.setPen(QColor(text_colour(colours, tone)))
        self._words(painter, cell, QRectF(left, rect.top(), rect.right() - left, rect.height()), index.column())
        if index == self._view.currentIndex() and self._view.hasFocus():
            painter.setPen(pen(colours.focus, 2.0))
            painter.drawRect(rect.adjusted(1, 1, -1, -2))
        painter.restore()

    def _shape(self, painter: QPainter, cell: Cell, rect: QRectF, left: float) -> float:
        """Draw the shape and return where the words begin."""
        if cell.shape is None:
            return left
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if isinstance(cell.shape, AddressState):
            side = self._look.px(SHAPE_SIDE)
            box = QRectF(left, round(rect.center().y() - side / 2.0), side, side)
            draw_address(painter, self._look, cell.shape, box, None)
            return left + side + self._look.px(6)
        wire = self._look.px(TABLE_WIRE)
        drawing = Drawing(self._look.colours, self._look.factor, cell.exception_code)
        draw_in_table(painter, cell.shape, QRectF(left - 2, rect.top(), wire, rect.height()), drawing)
        return left + wire + self._look.px(4)

    def _words(self, painter: QPainter, cell: Cell, room: QRectF, column: int) -> None:
        font = self._fonts[cell.weight]
        painter.setFont(font)
        is_right = self._model.columns[column].is_right
        words = cell.words
        if self._model.columns[column].may_be_cut:
            words = QFontMetrics(font).elidedText(words, Qt.TextElideMode.ElideRight, int(room.width()))
        side = Qt.AlignmentFlag.AlignRight if is_right else Qt.AlignmentFlag.AlignLeft
        room = room.adjusted(0, 0, -self._look.px(CELL_PAD) if is_right else 0, 0)
        painter.drawText(room, int(side | Qt.AlignmentFlag.AlignVCenter), words)


class Table(QTableView):
    """A table to read: rows are chosen, Enter opens, Ctrl+C copies the row as text."""

    opened = Signal(int)
    row_chosen = Signal(int)

    def __init__(self, look: Look, name: str, columns: Sequence[Column], row_height: int = ROW) -> None:
        super().__init__()
        self._look = look
        self._model = RowsModel(columns)
        self.setModel(self._model)
        self.setAccessibleName(name)
        self._draws = _Draws(look, self._model, self)
        self.setItemDelegate(self._draws)
        draws_own_focus(self)
        self.setShowGrid(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTabKeyNavigation(False)
        self.setFrameShape(QTableView.Shape.NoFrame)
        self.setWordWrap(False)
        self._shape_heads(row_height)
        self.activated.connect(lambda index: self.opened.emit(index.row()))
        self.selectionModel().currentRowChanged.connect(lambda now, _old: self.row_chosen.emit(now.row()))

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show these rows; the chosen row keeps its place."""
        self._model.show_rows(rows)

    def choose_row(self, row: int) -> None:
        """Choose a row, and bring it into view."""
        if 0 <= row < self._model.rowCount() and row != self.currentIndex().row():
            self.setCurrentIndex(self._model.index(row, 0))

    @property
    def rows_model(self) -> RowsModel:
        """The model, for tests and counts."""
        return self._model

    def cell_font(self, weight: Weight) -> QFont:
        """Return the face of a cell, for widths that follow the words."""
        return self._draws.font(weight)

    def cut_cells(self) -> list[str]:
        """Return heads and words that do not fit their column and may not be cut: none, if widths are right."""
        cut = []
        heads = QFontMetrics(self._look.regular(CAPTION_TEXT))
        seen = [(i, one) for i, one in enumerate(self._model.columns) if not self.isColumnHidden(i)]
        for i, column in seen:
            if heads.horizontalAdvance(column.head) + 2 * self._look.px(CELL_PAD) > self.columnWidth(i):
                cut.append(column.head)
        for row in range(self._model.rowCount()):
            for i, column in seen:
                cell = self._model.cell(row, i)
                needed = QFontMetrics(self._draws.font(cell.weight)).horizontalAdvance(cell.words)
                if isinstance(cell.shape, AddressState):
                    needed += self._look.px(SHAPE_SIDE + 6)
                elif cell.shape is not None:
                    needed += self._look.px(TABLE_WIRE + 4)
                if not column.may_be_cut and needed + self._look.px(CELL_PAD) > self.columnWidth(i):
                    cut.append(cell.words)
        return cut

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens, Ctrl+C copies the row."""
        current = self.currentIndex()
        if event.matches(QKeySequence.StandardKey.Copy) and current.isValid():
            QGuiApplication.clipboard().setText(self._model.row_words(current.row()))
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and current.isValid():
            self.opened.emit(current.row())
            return
        super().keyPressEvent(event)

    def make_rows_high(self, row_height: int) -> None:
        """Give all rows another height, in px at 100 %."""
        down, height = self.verticalHeader(), self._look.px(row_height)
        if down.defaultSectionSize() != height:
            down.setMinimumSectionSize(height)
            down.setDefaultSectionSize(height)

    def _shape_heads(self, row_height: int) -> None:
        look = self._look
        across, down = self.horizontalHeader(), self.verticalHeader()
        across.setAccessibleName("column heads")
        down.hide()
        self.make_rows_high(row_height)
        down.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        across.setFixedHeight(look.px(TABLE_HEAD))
        across.setFont(look.regular(CAPTION_TEXT))
        across.setHighlightSections(False)
        across.setSectionsClickable(False)
        across.setMinimumSectionSize(look.px(20))
        for i, column in enumerate(self._model.columns):
            takes_rest = column.width == 0
            across.setSectionResizeMode(
                i, QHeaderView.ResizeMode.Stretch if takes_rest else QHeaderView.ResizeMode.Fixed
            )
            if not takes_rest:
                self.setColumnWidth(i, look.px(column.width))


def tight(widget: QWidget) -> QWidget:
    """Let a widget's height be what it needs; return it."""
    policy = widget.sizePolicy()
    policy.setVerticalPolicy(policy.Policy.Fixed)
    widget.setSizePolicy(policy)
    return widget
