"""The rows of the table and which of them is focused: for each device its own. Plain Python."""

from __future__ import annotations

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.tables import Table
from buswalk.ui.pages.registers.known_devices import KnownDevice
from buswalk.ui.pages.registers.point_board import PointBoard
from buswalk.ui.pages.registers.point_words import group_row, point_row
from buswalk.ui.pages.registers.registers_state import PointRows
from buswalk.ui.table_cells import Row

TABLE_ORDER = (Table.INPUT_REGISTERS, Table.HOLDING_REGISTERS, Table.DISCRETE_INPUTS, Table.COILS)


class PointPane:
    """Makes rows of points, in the order of their addresses, under the heads of their tables."""

    def __init__(self, board: PointBoard) -> None:
        self._board = board
        self._chosen: dict[int, str] = {}
        self._points: tuple[Point | None, ...] = ()

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
                story = self._board.story(server_address, point.name)
                rows.append(point_row(point, story, now_s, self._why_not_read(server_address, point)))
                points.append(point)
        self._points = tuple(points)
        return PointRows(tuple(rows), tuple(groups), self._row_of_chosen(server_address))

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
