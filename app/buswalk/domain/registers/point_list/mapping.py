"""What a list means as a whole: its heading, its columns, its notation, the table where none is named.

It is guessed, shown with reasons, and corrected by the user: nothing is guessed silently.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from buswalk.domain.registers.point_list.address_cells import ListNotation, guessed_notation
from buswalk.domain.registers.point_list.columns import PointColumn, columns_of
from buswalk.domain.registers.tables import Table
from buswalk.domain.site.list_text import SourceRow

HEADING_WITHIN_ROWS = 15
FEWEST_COLUMNS = 2


@dataclass(frozen=True, slots=True)
class ListMapping:
    """How the rows are read.

    Attributes:
        heading_row: Number of the row with the headings; rows behind it are points. 0 if there is none.
        columns: Index of the column of each thing.
        table: Of the points whose row names none.
    """

    heading_row: int
    columns: Mapping[PointColumn, int]
    notation: ListNotation
    table: Table

    def cell(self, row: SourceRow, column: PointColumn) -> str:
        """Return what stands in a column of a row; empty if there is no such column."""
        at = self.columns.get(column, -1)
        return row.cells[at].strip() if 0 <= at < len(row.cells) else ""


@dataclass(frozen=True, slots=True)
class GuessedMapping:
    """A mapping and why; `doubts` are sentences about what the list itself does not prove."""

    mapping: ListMapping
    headings: tuple[str, ...]
    not_taken: tuple[str, ...]
    why_notation: str
    is_notation_sure: bool
    doubts: tuple[str, ...]


class NoPointList(ValueError):
    """The rows are no list of points; the text says what is missing."""


def guessed_mapping(rows: Sequence[SourceRow]) -> GuessedMapping:
    """Return what the headings and addresses speak for.

    Raises:
        NoPointList: No row has headings that name an address and one thing more.
    """
    heading = max(rows[:HEADING_WITHIN_ROWS], key=_worth, default=None)
    if heading is None or _worth(heading) < FEWEST_COLUMNS:
        raise NoPointList(
            "no row of headings was found among the first ones: a point list needs a column 'address' and one more, "
            "such as 'name' or 'type'; say which columns they are"
        )
    columns = columns_of(heading.cells)
    behind = [row for row in rows if row.number > heading.number]
    cells = [row.cells[columns[PointColumn.ADDRESS]] for row in behind if len(row.cells) > columns[PointColumn.ADDRESS]]
    guessed = guessed_notation([one for one in cells if one.strip()])
    mapping = ListMapping(heading.number, columns, guessed.notation, Table.HOLDING_REGISTERS)
    taken = set(columns.values())
    not_taken = tuple(one for place, one in enumerate(heading.cells) if one.strip() and place not in taken)
    doubts = () if guessed.is_sure else (f"addresses are taken as {guessed.notation.value}: {guessed.why}",)
    all_doubts = (*doubts, *column_doubts(mapping))
    return GuessedMapping(mapping, heading.cells, not_taken, guessed.why, guessed.is_sure, all_doubts)


def column_doubts(mapping: ListMapping) -> tuple[str, ...]:
    """Return what is taken where no column tells it, whoever chose the mapping."""
    doubts = []
    names_table = mapping.notation is ListNotation.REFERENCE or not {
        PointColumn.TABLE,
        PointColumn.FUNCTION,
    }.isdisjoint(mapping.columns)
    if not names_table:
        doubts.append(f"no column names the table: {mapping.table.value.replace('_', ' ')} are taken")
    if PointColumn.TYPE not in mapping.columns:
        doubts.append("no column names the type: 16 bits without sign are taken where one register is named")
    return tuple(doubts)


def _worth(row: SourceRow) -> int:
    columns = columns_of(row.cells)
    return len(columns) if PointColumn.ADDRESS in columns else 0
