"""The table of devices: columns as wide as their counts need; with little room counts stand without their shapes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtGui import QFontMetrics, QResizeEvent

from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.device_rows import NONE
from buswalk.ui.pages.page import Narrow
from buswalk.ui.shapes.outcome_shapes import TABLE_WIRE
from buswalk.ui.sizes import CAPTION_TEXT, KEY_VALUE_TEXT, ROW_DENSE, TEXT
from buswalk.ui.table_cells import Cell, Column, Row, Weight
from buswalk.ui.tones import tone_of
from buswalk.ui.widgets.table import CELL_PAD, Table

COLUMNS = (
    Column("Addr.", 50),
    Column("Device", 0, may_be_cut=True),
    Column("Asked", 58, is_right=True),
    Column("Answered", 76, is_right=True),
    Column("Refused", 66),
    Column("No reply", 70),
    Column("Damaged", 74),
    Column("Short", 52),
    Column("Late", 48),
    Column("Other", 54),
    Column("Stray", 50),
    Column("Not clean, 95 %", 120),
)
ADDRESS, DEVICE, ASKED, ANSWERED = range(4)
SHARE = len(COLUMNS) - 1
LEAST_NAME = 64


class FaultTable(Table):
    """Rows as `device_rows` makes them."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "devices", COLUMNS, ROW_DENSE)
        self._is_narrow = narrow is Narrow.YES
        self._given: tuple[Row, ...] = ()
        self.horizontalHeader().setMinimumSectionSize(look.px(20))

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show these rows."""
        self._given = tuple(rows)
        super().show_rows([tuple(_plain(cell) for cell in row) for row in rows] if self._is_narrow else rows)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fit anew."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Give each column what it needs; where that is too much, those that are empty throughout go."""
        needed = [self._needed(at) for at in range(len(COLUMNS))]
        room = self.viewport().width() - self._look.px(LEAST_NAME)
        hidden: set[int] = set()
        for at in range(ANSWERED + 1, SHARE):
            if sum(one for place, one in enumerate(needed) if place not in hidden and place != DEVICE) <= room:
                break
            if all(row[at].words == NONE for row in self._given):
                hidden.add(at)
        for at, width in enumerate(needed):
            self.setColumnHidden(at, at in hidden)
            if at != DEVICE and self.columnWidth(at) != width and at not in hidden:
                self.setColumnWidth(at, width)

    def _needed(self, at: int) -> int:
        look = self._look
        heads = QFontMetrics(look.regular(CAPTION_TEXT))
        widest = max(look.px(COLUMNS[at].width), heads.horizontalAdvance(COLUMNS[at].head) + 2 * look.px(CELL_PAD))
        for row in self._given:
            cell = row[at]
            font = look.bold(KEY_VALUE_TEXT) if cell.weight is Weight.KEY else look.regular(TEXT)
            width = QFontMetrics(font).horizontalAdvance(cell.words) + 2 * look.px(CELL_PAD)
            if cell.shape is not None and not self._is_narrow:
                width += look.px(TABLE_WIRE + 4)
            widest = max(widest, width)
        return widest


def _plain(cell: Cell) -> Cell:
    """Return a count in the colour of its kind: the head of its column has the word."""
    if not isinstance(cell.shape, OutcomeKind):
        return cell
    return replace(cell, shape=None, tone=tone_of(cell.shape))
