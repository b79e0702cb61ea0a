"""What a list means as a whole: its heading, its columns, its notation, the table where none is named.

It is guessed, shown with reasons, and corrected by the user: nothing is guessed silently.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from buswalk.domain.registers.point_list.address_cells import GuessedNotation, ListNotation, guessed_notation
from buswalk.domain.registers.point_list.columns import PointColumn, columns_of
from buswalk.domain.registers.point_list.list_rows import column_letters
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
    """A mapping and why; `doubts` are sentences about what the list itself does not prove.

    Attributes:
        headings: Over each column; its letter where no row has headings.
        notation: What the addresses speak for, whatever was told.
    """

    mapping: ListMapping
    headings: tuple[str, ...]
    not_taken: tuple[str, ...]
    notation: GuessedNotation
    doubts: tuple[str, ...]


NO_HEADING_ROW = 0
GUESSED_ROW = -1
NO_ADDRESS = "no column is taken for the address: say which one it is"


@dataclass(frozen=True, slots=True)
class ToldMapping:
    """What a user says of a list; what is not said is guessed.

    Attributes:
        heading_row: Number of the row with the headings, or one of `GUESSED_ROW` and `NO_HEADING_ROW`.
        columns: Index of a column and what it holds (`None`: it is not taken), in the order in which it was said.
        notations: The one that was said, or empty.
    """

    heading_row: int = GUESSED_ROW
    columns: tuple[tuple[int, PointColumn | None], ...] = ()
    notations: tuple[ListNotation, ...] = ()
    table: Table = Table.HOLDING_REGISTERS


NOTHING_TOLD = ToldMapping()


class NoPointList(ValueError):
    """The rows are no list of points; the text says what is missing."""


def guessed_mapping(rows: Sequence[SourceRow]) -> GuessedMapping:
    """Return what the headings and addresses speak for.

    Raises:
        NoPointList: No row has headings that name an address and one thing more.
    """
    return told_mapping(rows, NOTHING_TOLD)


def told_mapping(rows: Sequence[SourceRow], told: ToldMapping) -> GuessedMapping:
    """Return what was told of a list, and what its headings and addresses speak for where nothing was.

    Raises:
        NoPointList: No row of headings was told, and none names an address and one thing more.
    """
    heading = _heading(rows, told.heading_row)
    headings = _headings(rows, heading)
    columns = columns_of(heading.cells) if heading.cells else {}
    for index, column in told.columns:
        columns = with_column(columns, index, column)
    mapping = ListMapping(heading.number, columns, ListNotation.AS_SENT, told.table)
    cells = (mapping.cell(row, PointColumn.ADDRESS) for row in rows if row.number > heading.number)
    guessed = guessed_notation([one for one in cells if one])
    notation = told.notations[-1] if told.notations else guessed.notation
    mapping = replace(mapping, notation=notation)
    taken = set(columns.values())
    not_taken = tuple(one for place, one in enumerate(headings) if one.strip() and place not in taken)
    is_proved = guessed.is_sure or told.notations or PointColumn.ADDRESS not in columns
    doubts = () if is_proved else (f"addresses are taken as {notation.value}: {guessed.why}",)
    return GuessedMapping(mapping, headings, not_taken, guessed, (*doubts, *column_doubts(mapping)))


def with_column(columns: Mapping[PointColumn, int], index: int, column: PointColumn | None) -> dict[PointColumn, int]:
    """Return columns with another meaning for one of them: a thing stands in one column, a column holds one thing."""
    kept = {one: place for one, place in columns.items() if place != index and one is not column}
    return kept if column is None else {**kept, column: index}


def could_be_heading(rows: Sequence[SourceRow]) -> tuple[SourceRow, ...]:
    """Return the rows among which headings are looked for."""
    return tuple(rows[:HEADING_WITHIN_ROWS])


def _heading(rows: Sequence[SourceRow], told: int) -> SourceRow:
    """Return the row with the headings; an empty one where there is none."""
    if told == NO_HEADING_ROW:
        return SourceRow(NO_HEADING_ROW, ())
    if told != GUESSED_ROW:
        named = next((row for row in rows if row.number == told), None)
        if named is None:
            raise NoPointList(f"there is nothing in row {told}: name another row with the headings")
        return named
    heading = max(could_be_heading(rows), key=_worth, default=None)
    if heading is None or _worth(heading) < FEWEST_COLUMNS:
        raise NoPointList(
            "no row of headings was found among the first ones: a point list needs a column 'address' and one more, "
            "such as 'name' or 'type'; say which columns they are"
        )
    return heading


def _headings(rows: Sequence[SourceRow], heading: SourceRow) -> tuple[str, ...]:
    """Return a name for each column that any row has; where nothing stands over it, its letter."""
    across = max((len(row.cells) for row in rows), default=0)
    if not heading.cells:
        return tuple(column_letters(i) for i in range(across))
    return (*heading.cells, *("" for _ in range(across - len(heading.cells))))


def column_doubts(mapping: ListMapping) -> tuple[str, ...]:
    """Return what is taken where no column tells it, whoever chose the mapping."""
    if PointColumn.ADDRESS not in mapping.columns:
        return (NO_ADDRESS,)
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
