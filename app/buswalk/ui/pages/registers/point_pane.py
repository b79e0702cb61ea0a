"""The rows of the table and which of them is focused: for each device its own. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.tables import Table
from buswalk.ui.pages.registers.known_devices import KnownDevice
from buswalk.ui.pages.registers.point_board import PointBoard, PointLook
from buswalk.ui.pages.registers.point_words import age_cell, group_row, point_row
from buswalk.ui.pages.registers.registers_state import PointRows
from buswalk.ui.table_cells import Row

TABLE_ORDER = (Table.INPUT_REGISTERS, Table.HOLDING_REGISTERS, Table.DISCRETE_INPUTS, Table.COILS)


AGE = 2
"""Place of the age in a row."""


@dataclass(frozen=True, slots=True)
class KeptRow:
    """A row, and what it was made of."""

    point: Point
    last: PointLook | None
    why: str
    row: Row


class PointPane:
    """Makes rows of points, in the order of their addresses, under the heads of their tables."""

    def __init__(self, board: PointBoard) -> None:
        self._board = board
        self._chosen: dict[int, str] = {}
        self._points: tuple[Point | None, ...] = ()
        self._kept: dict[tuple[int, str], KeptRow] = {}

    def choose(self, server_address: int, row: int) -> bool:
        """Focus a row; tell whether that is another point than before."""
        point = self._points[row] if 0 <= row < len(self._points) else None
        if point is None or self._chosen.get(server_address) == point.name:
            return False
        self._chosen[server_address] = point.name
        return True

    def point(self, device: KnownDevice | None) -> Point | None:
        """Return the focused point of the device that is shown."""
        name = "" if device is None else self._chosen.get(device.server_address, "")
        return next((one for one in self._points if one is not None and one.name == name), None)

    def rows(self, server_address: int, profile: RegisterProfile, now_s: float) -> PointRows:
        """Return the rows of a device."""
        rows: list[Row] = []
        groups: list[int] = []
        points: list[Point | None] = []
        for table in TABLE_ORDER:
            of_table = sorted(
                (one for one in profile.points if one.table is table), key=lambda one: one.register_address
            )
            if of_table:
                groups.append(len(rows))
                rows.append(group_row(table))
                points.append(None)
            for point in of_table:
                rows.append(self._row(server_address, point, now_s))
                points.append(point)
        self._points = tuple(points)
        return PointRows(tuple(rows), tuple(groups), self._row_of_chosen(server_address))

    def _row(self, server_address: int, point: Point, now_s: float) -> Row:
        """Return the row of a point; where nothing but its age has changed, only that is said anew."""
        story = self._board.story(server_address, point.name)
        last = None if story is None else story.last
        why = self._why_not_read(server_address, point)
        kept = self._kept.get((server_address, point.name))
        if kept is not None and kept.last is last and kept.why == why and kept.point == point:
            return (*kept.row[:AGE], age_cell(story, now_s), *kept.row[AGE + 1 :])
        row = point_row(point, story, now_s, why)
        self._kept[server_address, point.name] = KeptRow(point, last, why, row)
        return row

    def _row_of_chosen(self, server_address: int) -> int:
        chosen = self._chosen.get(server_address, "")
        at = next((i for i, one in enumerate(self._points) if one is not None and one.name == chosen), -1)
        first = self._points[1] if len(self._points) > 1 else None
        if at < 0 and first is not None:
            self._chosen[server_address] = first.name
            return 1
        return at

    def _why_not_read(self, server_address: int, point: Point) -> str:
        if point.clears_on_read:
            return "reading clears it: Enter reads it"
        return self._board.left_out(server_address, point.name)
