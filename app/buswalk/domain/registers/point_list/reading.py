"""Rows of a point list into points, with a sentence for each row that is doubtful or cannot be used."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TypeVar

from buswalk.domain.registers.point import Access, AnyValue, Between, BitField, Point, ValueRange
from buswalk.domain.registers.point_list.address_cells import WrittenAddress, place, written_address
from buswalk.domain.registers.point_list.columns import PointColumn
from buswalk.domain.registers.point_list.list_rows import column_letters
from buswalk.domain.registers.point_list.mapping import NO_ADDRESS, ListMapping
from buswalk.domain.registers.point_list.type_cells import (
    access_of,
    decimal_of,
    named_values_of,
    range_of,
    scale_of,
    sentinels_of,
    table_of,
    table_of_function,
    type_of,
)
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import BIT, Layout, ValueType
from buswalk.domain.site.list_text import SourceRow

MOST_POINTS = 5000
LONGEST_NAME = 60
Read = TypeVar("Read")


@dataclass(frozen=True, slots=True)
class PointTrouble:
    """One thing to know of a list, with the row it stands in (0: the whole list).

    Attributes:
        is_left_out: The row gives no point; otherwise it was taken as the words say.
        column: Index of the cell that it is about; -1 for the whole row.
        sheet: Of a workbook; empty for text.
    """

    source: str
    row: int
    words: str
    is_left_out: bool
    column: int = -1
    sheet: str = ""

    @property
    def place(self) -> str:
        """Return what an editor calls the place: a line of a text, `Sheet!C7` in a workbook; empty: the whole list."""
        if not self.row:
            return ""
        letters = column_letters(self.column) if self.column >= 0 else ""
        return f"{self.sheet}!{letters}{self.row}" if self.sheet else f"{self.row}"

    def __str__(self) -> str:
        return f"{self.source}:{self.place}: {self.words}" if self.row else f"{self.source}: {self.words}"


@dataclass(frozen=True, slots=True)
class ReadPoints:
    """The points of a list in its order, and its troubles by row."""

    points: tuple[Point, ...]
    troubles: tuple[PointTrouble, ...]


def read_points(source: str, rows: Sequence[SourceRow], mapping: ListMapping, sheet: str = "") -> ReadPoints:
    """Return what the rows behind the heading amount to; `source` stands before each trouble, and `sheet` if any."""
    if PointColumn.ADDRESS not in mapping.columns:
        return ReadPoints((), (PointTrouble(source, 0, NO_ADDRESS, is_left_out=True, sheet=sheet),))
    reader = _Reader(source, mapping, sheet)
    for row in rows:
        if row.number > mapping.heading_row:
            reader.take(row)
    return ReadPoints(tuple(reader.points), tuple(sorted(reader.troubles, key=lambda one: one.row)))


class _CellError(ValueError):
    """A cell that cannot be used, so that its row gives no point."""

    def __init__(self, words: str, column: PointColumn) -> None:
        super().__init__(words)
        self.column = column


class _Reader:
    """Takes row after row."""

    def __init__(self, source: str, mapping: ListMapping, sheet: str) -> None:
        self._source = source
        self._sheet = sheet
        self._mapping = mapping
        self.points: list[Point] = []
        self.troubles: list[PointTrouble] = []
        self._row_of: dict[tuple[Table, int], int] = {}
        self._names: dict[str, int] = {}
        self._row = 0

    def take(self, row: SourceRow) -> None:
        self._row = row.number
        if not self._mapping.cell(row, PointColumn.ADDRESS):
            if sum(bool(one.strip()) for one in row.cells) > 1:
                self._say("no address: left out", is_left_out=True)
            return
        try:
            self._add(row)
        except _CellError as reason:
            self._say(str(reason), reason.column, is_left_out=True)
        except ValueError as reason:
            self._say(str(reason), is_left_out=True)

    def _say(self, words: str, column: PointColumn | None = None, *, is_left_out: bool) -> None:
        at = self._mapping.columns.get(column, -1) if column is not None else -1
        self.troubles.append(PointTrouble(self._source, self._row, words, is_left_out, at, self._sheet))

    def _cell(self, row: SourceRow, column: PointColumn) -> str:
        return self._mapping.cell(row, column)

    def _add(self, row: SourceRow) -> None:
        if len(self.points) >= MOST_POINTS:
            raise ValueError(f"more than {MOST_POINTS} points: left out")
        written = _of_cell(PointColumn.ADDRESS, lambda: written_address(self._cell(row, PointColumn.ADDRESS)))
        if written.remark:
            self._say(written.remark, PointColumn.ADDRESS, is_left_out=False)
        placed = _of_cell(PointColumn.ADDRESS, lambda: place(written, self._mapping.notation))
        table = self._table(row, placed.table)
        value_type = self._type(row, written, table)
        bit = self._bit(row, written)
        if bit >= 0 and not table.holds_bits:
            self._add_bit(row, table, placed.register_address, bit)
            return
        if (table, placed.register_address) in self._row_of:
            before = self._row_of[table, placed.register_address]
            raise _CellError(f"{written.number} stands in row {before} already: left out", PointColumn.ADDRESS)
        point = self._point(row, table, placed.register_address, value_type)
        self.points.append(point)
        self._row_of[table, placed.register_address] = row.number

    # Parts of a row

    def _table(self, row: SourceRow, by_number: Table | None) -> Table:
        told = [] if by_number is None else [by_number]
        usual = by_number or self._mapping.table
        named, function = self._cell(row, PointColumn.TABLE), self._cell(row, PointColumn.FUNCTION)
        told += [self._or_noted(PointColumn.TABLE, lambda: table_of(named), usual)] if named else []
        told += [self._or_noted(PointColumn.FUNCTION, lambda: table_of_function(function), usual)] if function else []
        if len(set(told)) > 1:
            words = " and ".join(dict.fromkeys(one.value.replace("_", " ") for one in told))
            raise ValueError(f"the row names two tables, {words}: left out")
        return told[0] if told else usual

    def _type(self, row: SourceRow, written: WrittenAddress, table: Table) -> ValueType:
        registers = self._registers(row, written)
        if table.holds_bits:
            return BIT
        text = self._cell(row, PointColumn.TYPE)
        if not text:
            return ValueType(Layout.UNSIGNED, 16 * (registers or 1)) if (registers or 1) <= 4 else _text(registers)
        if text.isdigit() and int(text) in (16, 32, 64):
            text = f"uint{text}"
        order = self._cell(row, PointColumn.ORDER)
        value_type = _of_cell(PointColumn.TYPE, lambda: type_of(text, order, registers))
        return ValueType(Layout.UNSIGNED, 16) if value_type.layout is Layout.BIT else value_type

    def _registers(self, row: SourceRow, written: WrittenAddress) -> int:
        text = self._cell(row, PointColumn.QUANTITY)
        if text.isdigit() and int(text) > 0:
            return int(text)
        return written.last - written.number + 1 if written.last > written.number else 0

    def _bit(self, row: SourceRow, written: WrittenAddress) -> int:
        text = self._cell(row, PointColumn.BIT).casefold().removeprefix("bit").strip()
        return int(text) if text.isdigit() and int(text) <= 15 else written.bit

    def _or_noted(self, column: PointColumn, read: Callable[[], Read], usual: Read) -> Read:
        """Read a cell; where it cannot be read it is said, and the usual stands."""
        try:
            return read()
        except ValueError as reason:
            self._say(str(reason), column, is_left_out=False)
            return usual

    def _range(self, row: SourceRow) -> ValueRange:
        usual: ValueRange = AnyValue()
        text = self._cell(row, PointColumn.RANGE)
        low, high = self._cell(row, PointColumn.LOW), self._cell(row, PointColumn.HIGH)
        if text:
            return self._or_noted(PointColumn.RANGE, lambda: range_of(text), usual)
        if low and high:
            return self._or_noted(PointColumn.LOW, lambda: Between(decimal_of(low), decimal_of(high)), usual)
        return usual

    def _point(self, row: SourceRow, table: Table, address: int, value_type: ValueType) -> Point:
        words = self._cell(row, PointColumn.NAME)
        at = PointColumn
        scale = self._or_noted(at.SCALE, lambda: scale_of(self._cell(row, at.SCALE)), Decimal(1))
        offset, sentinel = self._cell(row, at.OFFSET), self._cell(row, at.SENTINEL)
        return Point(
            name=self._name(words, table, address),
            table=table,
            register_address=address,
            value_type=value_type,
            words=words,
            scale=scale,
            offset=self._or_noted(at.OFFSET, lambda: decimal_of(offset), Decimal(0)) if offset else Decimal(0),
            unit=self._cell(row, PointColumn.UNIT),
            range=self._range(row),
            decimals=max(0, -int(scale.normalize().as_tuple().exponent)),
            sentinels=self._or_noted(at.SENTINEL, lambda: sentinels_of(sentinel), ()) if sentinel else (),
            named=named_values_of(self._cell(row, at.NAMED)),
            access=self._access(row, table),
            notes=self._cell(row, at.NOTES),
        )

    def _access(self, row: SourceRow, table: Table) -> Access:
        column = PointColumn.ACCESS
        access = self._or_noted(column, lambda: access_of(self._cell(row, column)), Access.READ)
        if access is Access.READ or table.can_be_written:
            return access
        self._say(f"{table.value.replace('_', ' ')} cannot be written: taken as read only", column, is_left_out=False)
        return Access.READ

    def _add_bit(self, row: SourceRow, table: Table, address: int, bit: int) -> None:
        """Several rows may describe bits of one register: they make one point with bit fields."""
        words = self._cell(row, PointColumn.NAME) or f"bit {bit}"
        field = BitField(words, bit, 1, named_values_of(self._cell(row, PointColumn.NAMED)))
        at = next((i for i, one in enumerate(self.points) if (one.table, one.register_address) == (table, address)), -1)
        if at < 0:
            name = self._name(f"bits of {address}", table, address)
            point = Point(name, table, address, words=f"bits of register {address}", bit_fields=(field,))
            self.points.append(point)
            self._row_of[table, address] = row.number
            return
        point = self.points[at]
        if any(one.first_bit == bit for one in point.bit_fields):
            raise ValueError(f"bit {bit} of register {address} stands in the list already: left out")
        self.points[at] = replace(point, bit_fields=(*point.bit_fields, field))

    def _name(self, words: str, table: Table, address: int) -> str:
        """Return a name of lower case, digits and underscores; one that is taken gets a number, and that is said."""
        plain = unicodedata.normalize("NFKD", words.casefold().replace("ß", "ss"))
        name = re.sub(r"_+", "_", re.sub(r"[^a-z0-9]+", "_", re.sub(r"[\u0300-\u036f]", "", plain))).strip("_")
        name = name[:LONGEST_NAME].strip("_") or f"{table.value}_{address}"
        if name[0].isdigit():
            name = f"p_{name}"
        if name not in self._names:
            self._names[name] = self._row
            return name
        number = 2
        while f"{name}_{number}" in self._names:
            number += 1
        self._say(f"'{words}' is the name of row {self._names[name]} too: called {name}_{number}", is_left_out=False)
        self._names[f"{name}_{number}"] = self._row
        return f"{name}_{number}"


def _of_cell(column: PointColumn, read: Callable[[], Read]) -> Read:
    """Read a cell without which there is no point."""
    try:
        return read()
    except ValueError as reason:
        raise _CellError(str(reason), column) from reason


def _text(registers: int) -> ValueType:
    return ValueType(Layout.TEXT, 16 * registers)
