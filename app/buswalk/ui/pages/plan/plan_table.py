"""The planned list as a table that is edited in place: F2 or typing opens a cell, Enter and Tab keep it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, Qt, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QKeyEvent, QKeySequence, QMouseEvent
from PySide6.QtWidgets import QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.plan.plan_editor import PlanColumn
from buswalk.ui.sizes import ROW, ROW_OF_LONG_TABLE
from buswalk.ui.table_cells import Column
from buswalk.ui.widgets.entries import Entry
from buswalk.ui.widgets.table import Table

COLUMNS = (
    Column("Place", 52, is_right=True),
    Column("Address", 72, is_right=True),
    Column("Device", 0, may_be_cut=True),
    Column("Setting", 106),
    Column("Board", 104, may_be_cut=True),
    Column("Where", 104, may_be_cut=True),
    Column("Now", 196),
)
EDITED = (
    PlanColumn.PLACE,
    PlanColumn.ADDRESS,
    PlanColumn.NAME,
    PlanColumn.SETTING,
    PlanColumn.BOARD,
    PlanColumn.WHERE,
)
LONG_FROM_ROWS = 11


class CellEntry(Entry):
    """The entry that lies over a cell while it is edited."""

    kept = Signal(int)
    """What is written is to be kept; so many cells to go on (0: stay)."""
    left = Signal()

    def __init__(self, look: Look, name: str, parent: QWidget) -> None:
        super().__init__(look, name)
        self.setParent(parent)
        self.hide()

    def event(self, event: QEvent) -> bool:
        """Keep Esc, Tab and the arrows of rows for ourselves while a cell is open."""
        if isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            if event.type() is QEvent.Type.ShortcutOverride:
                event.accept()
                return True
            if event.type() is QEvent.Type.KeyPress:
                self.left.emit()
                return True
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.KeyPress:
            steps = {Qt.Key.Key_Tab: 1, Qt.Key.Key_Backtab: -1, Qt.Key.Key_Return: 0, Qt.Key.Key_Enter: 0}
            step = steps.get(Qt.Key(event.key()))
            if step is not None:
                self.kept.emit(step)
                return True
        return super().event(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Keep what is written when the focus goes elsewhere."""
        super().focusOutEvent(event)
        if self.isVisible() and event.reason() is not Qt.FocusReason.PopupFocusReason:
            self.kept.emit(0)


class PlanTable(Table):
    """Tells every act; holds none of the list itself."""

    edited = Signal(int, object, str)
    inserted = Signal()
    deleted = Signal()
    moved = Signal(int)
    undone = Signal()
    redone = Signal()
    pasted = Signal(str)

    def __init__(self, look: Look, narrow: Narrow) -> None:
        columns = tuple(one for one in COLUMNS if not (narrow is Narrow.YES and one.head == "Board"))
        super().__init__(look, "planned devices, in the order of the cable", columns, ROW_OF_LONG_TABLE)
        self._look = look
        self._fields = tuple(one for one in EDITED if not (narrow is Narrow.YES and one is PlanColumn.BOARD))
        self._heads = [one.head for one in columns]
        self._row_px = ROW_OF_LONG_TABLE
        self._entry = CellEntry(look, "cell", self.viewport())
        self._entry.kept.connect(self._keep)
        self._entry.left.connect(self._close)
        self._open: tuple[int, int] | None = None
        self.doubleClicked.connect(self._open_index)

    def shown_columns(self, cells: int) -> tuple[int, ...]:
        """Return which of a row's cells this table shows."""
        return tuple(i for i in range(cells) if cells == len(self._heads) or COLUMNS[i].head in self._heads)

    def fit_rows(self, count: int) -> None:
        """Make rows a little lower where there are many."""
        wanted = ROW_OF_LONG_TABLE if count >= LONG_FROM_ROWS else ROW
        if wanted != self._row_px:
            self._row_px = wanted
            self.verticalHeader().setMinimumSectionSize(self._look.px(wanted))
            self.verticalHeader().setDefaultSectionSize(self._look.px(wanted))

    # Editing a cell

    def open_cell(self, row: int, column: int) -> None:
        """Open a cell to be written in."""
        if not (0 <= row < self.rows_model.rowCount() and 0 <= column < len(self._fields)):
            return
        index = self.rows_model.index(row, column)
        self.setCurrentIndex(index)
        self.scrollTo(index)
        self._open = (row, column)
        words = self.rows_model.cell(row, column).words
        self._entry.setAccessibleName(f"{self._heads[column]} of place {row + 1}")
        self._entry.setText("" if column == 1 and words == "none" else words)
        self._entry.setMinimumWidth(0)
        self._entry.setMaximumWidth(16777215)
        box = self.visualRect(index)
        least = self._look.px(96)
        width = max(box.width(), least)
        left = min(box.left(), self.viewport().width() - width)
        self._entry.setFixedHeight(box.height())
        self._entry.setGeometry(left, box.top(), width, box.height())
        self._entry.selectAll()
        self._entry.show()
        self._entry.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def entry(self) -> CellEntry:
        """What lies over the cell that is written in."""
        return self._entry

    def _open_index(self, index: QModelIndex) -> None:
        self.open_cell(index.row(), index.column())

    def _keep(self, step: int) -> None:
        if self._open is None:
            return
        row, column = self._open
        text = self._entry.text()
        self._close()
        self.edited.emit(row, self._fields[column], text)
        if step:
            self._open_next(row, column + step)

    def _close(self) -> None:
        self._open = None
        had_focus = self._entry.hasFocus()
        self._entry.hide()
        if had_focus:
            self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _open_next(self, row: int, column: int) -> None:
        """Go on to the next cell, over the ends of rows."""
        if column >= len(self._fields):
            row, column = row + 1, 1
        elif column < 0:
            row, column = row - 1, len(self._fields) - 1
        if 0 <= row < self.rows_model.rowCount():
            self.open_cell(row, column)

    # Keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Edit, insert, delete, move, undo, paste; the rest as in every table."""
        current = self.currentIndex()
        key, modifiers = Qt.Key(event.key()), event.modifiers()
        is_plain = modifiers in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
        is_alt = bool(modifiers & Qt.KeyboardModifier.AltModifier)
        if event.matches(QKeySequence.StandardKey.Undo):
            self.undone.emit()
        elif event.matches(QKeySequence.StandardKey.Redo):
            self.redone.emit()
        elif event.matches(QKeySequence.StandardKey.Paste):
            self.pasted.emit(QGuiApplication.clipboard().text())
        elif is_alt and key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.moved.emit(-1 if key is Qt.Key.Key_Up else 1)
        elif key is Qt.Key.Key_Insert and is_plain:
            self.inserted.emit()
        elif key is Qt.Key.Key_Delete and is_plain:
            self.deleted.emit()
        elif current.isValid() and key in (Qt.Key.Key_F2, Qt.Key.Key_Return, Qt.Key.Key_Enter) and is_plain:
            self.open_cell(current.row(), min(current.column(), len(self._fields) - 1))
        elif current.isValid() and is_plain and event.text().strip() and event.text().isprintable():
            self.open_cell(current.row(), min(current.column(), len(self._fields) - 1))
            self._entry.setText(event.text())
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A press elsewhere keeps what is written."""
        if self._open is not None:
            self._keep(0)
        super().mousePressEvent(event)
