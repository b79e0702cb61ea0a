"""The points of one device as a table: heads of tables between, columns as wide as their words, some give way."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QFontMetrics, QKeyEvent, QMouseEvent, QResizeEvent

from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.registers_state import PointRows
from buswalk.ui.shapes.outcome_shapes import TABLE_WIRE
from buswalk.ui.sizes import CAPTION_TEXT, ROW_OF_LONG_TABLE
from buswalk.ui.table_cells import Column, Row
from buswalk.ui.widgets.table import CELL_PAD, Table

POINT, VALUE, AGE, RAW, ADDRESS, NUMBER, REFERENCE, NOTE = range(8)
COLUMNS = (
    Column("Point", 0, may_be_cut=True),
    Column("Value", 110, is_right=True),
    Column("Age", 54, is_right=True),
    Column("Raw, hex", 96),
    Column("Wire address", 106),
    Column("Number", 66),
    Column("Ref.", 60),
    Column("Note", 110, may_be_cut=True),
)
LEAST_OF_POINT, LEAST_OF_NOTE, MOST_OF_NOTE = 190, 96, 230
GIVE_WAY = (REFERENCE, NUMBER, NOTE, NOTE, AGE, RAW)
"""The first goes first; each stays in the side panel. A note is cut before it goes."""


class PointsTable(Table):
    """Shows PointRows."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "points of the device", COLUMNS, ROW_OF_LONG_TABLE)
        self._narrow = narrow
        self._groups: tuple[int, ...] = ()
        self._rows: tuple[Row, ...] = ()

    def show_points(self, points: PointRows) -> None:
        """Show other rows."""
        self.show_rows(points.rows)
        if points.groups != self._groups or len(points.rows) != len(self._rows):
            self.clearSpans()
            for row in points.groups:
                self.setSpan(row, 0, 1, len(COLUMNS))
            self._groups = points.groups
        is_new = points.rows != self._rows
        self._rows = points.rows
        if is_new:
            self._fit(points.rows)
        self.choose_row(points.chosen)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move, and pass the heads of tables."""
        before = self.currentIndex().row()
        super().keyPressEvent(event)
        self._pass_group(self.currentIndex().row(), before)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A press on the head of a table chooses its first point."""
        super().mouseReleaseEvent(event)
        self._pass_group(self.currentIndex().row(), -1)

    def _pass_group(self, now: int, before: int) -> None:
        """The head of a table is no point: go on in the direction in which one came."""
        if now in self._groups:
            step = -1 if now < before and now > 0 else 1
            self.choose_row(now + step)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Let columns give way anew."""
        super().resizeEvent(event)
        self._fit(self._rows)

    def _fit(self, rows: Sequence[Row]) -> None:
        """Make columns as wide as their words, and hide those that give way first until the rest fits."""
        look = self._look
        widths = {i: self._needed(rows, i) for i in range(VALUE, NOTE)}
        note = self._needed(rows, NOTE)
        widths[NOTE] = min(note, look.px(MOST_OF_NOTE)) if any(row[NOTE].words for row in rows) else 0
        room = self.viewport().width() - look.px(LEAST_OF_POINT)
        hidden = {NOTE} if not widths[NOTE] else set()
        for gives_way in GIVE_WAY:
            if sum(width for i, width in widths.items() if i not in hidden) <= room:
                break
            if gives_way is NOTE and widths[NOTE] > look.px(LEAST_OF_NOTE):
                over = sum(width for i, width in widths.items() if i not in hidden) - room
                widths[NOTE] = max(look.px(LEAST_OF_NOTE), widths[NOTE] - over)
            else:
                hidden.add(gives_way)
        left = room - sum(width for i, width in widths.items() if i not in hidden)
        if NOTE not in hidden:
            widths[NOTE] += min(max(0, left), max(0, note - widths[NOTE]))
        for i, width in widths.items():
            if self.isColumnHidden(i) is not (i in hidden):
                self.setColumnHidden(i, i in hidden)
            if i not in hidden and self.columnWidth(i) != width:
                self.setColumnWidth(i, width)

    def _needed(self, rows: Sequence[Row], column: int) -> int:
        look = self._look
        heads = QFontMetrics(look.regular(CAPTION_TEXT))
        widest = heads.horizontalAdvance(COLUMNS[column].head)
        metrics = {one: QFontMetrics(self.cell_font(one)) for one in {row[column].weight for row in rows}}
        for row in rows:
            cell = row[column]
            width = metrics[cell.weight].horizontalAdvance(cell.words)
            if isinstance(cell.shape, OutcomeKind):
                width += look.px(TABLE_WIRE + 4)
            widest = max(widest, width)
        return widest + 2 * look.px(CELL_PAD) + 2
