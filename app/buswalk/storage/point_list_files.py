"""Point lists in files: the same kinds as planned lists, but cells that were merged count for all rows they cover."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Sequence
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from buswalk.domain.registers.point_list.list_rows import ListRows
from buswalk.domain.registers.point_list.mapping import NoPointList, guessed_mapping
from buswalk.domain.site.list_text import SourceRow, rows_of_text
from buswalk.storage.planned_list_files import (
    MOST_COLUMNS,
    MOST_SHEET_ROWS,
    SPREADSHEETS,
    UnreadableList,
    cell_text,
    csv_text,
    is_spreadsheet,
    list_bytes,
    list_text,
    opened_book,
    shortened,
)
from buswalk.storage.saved_text import save_bytes

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet


def read_point_list_file(path: Path, sheet: str = "") -> ListRows:
    """Return the rows of a point list; a merged cell stands in every row and column that it covers.

    Of a workbook they are those of the sheet that is named, else of the first that has the headings of a point list.

    Raises:
        UnreadableList: It cannot be read, is no list, or has no such sheet.
    """
    data = list_bytes(path)
    if is_spreadsheet(path, data):
        with closing(opened_book(path.name, data, in_passing=False)) as book:
            return _of_book(path.name, book, sheet)
    if sheet:
        raise UnreadableList(f"{path.name} is a text: it has no sheet '{sheet}'")
    return ListRows(path.name, rows_of_text(list_text(path.name, data)))


def write_point_list_file(path: Path, rows: Iterable[Sequence[str]]) -> None:
    """Write rows as a spreadsheet or, with any other ending, as values parted by comma.

    Raises:
        RecordProblem: The file is there already, or cannot be written.
    """
    if path.suffix.casefold() in SPREADSHEETS:
        save_bytes(path, _sheet(rows))
    else:
        save_bytes(path, csv_text(rows).encode("utf-8-sig"))


def _of_book(name: str, book: Workbook, wanted: str) -> ListRows:
    sheets = {one.title: one for one in book.worksheets}
    if wanted and wanted not in sheets:
        raise UnreadableList(f"{name} has no sheet '{wanted}': it has {', '.join(sheets)}")
    first = ListRows(name, (), tuple(sheets))
    for title in (wanted,) if wanted else tuple(sheets):
        rows = _rows_of(name, sheets[title])
        read = ListRows(name, rows, tuple(sheets), title)
        if wanted or _is_point_list(rows):
            return read
        first = first if first.rows else read
    return first


def _is_point_list(rows: tuple[SourceRow, ...]) -> bool:
    try:
        guessed_mapping(rows)
    except NoPointList:
        return False
    return True


def _rows_of(name: str, sheet: Worksheet) -> tuple[SourceRow, ...]:
    """Return the rows of a sheet with every merged span filled."""
    columns = min(sheet.max_column, MOST_COLUMNS)
    try:
        cells = [
            [cell_text(value) for value in row]
            for row in sheet.iter_rows(max_row=min(sheet.max_row, MOST_SHEET_ROWS), max_col=columns, values_only=True)
        ]
    except (zipfile.BadZipFile, KeyError, ValueError, SyntaxError, EOFError) as error:
        raise UnreadableList(f"{name} is damaged inside: save it again as .xlsx or .csv") from error
    for span in sheet.merged_cells.ranges:
        first_row, first_column = span.min_row - 1, span.min_col - 1
        for row in range(first_row, min(span.max_row, len(cells))):
            for column in range(first_column, min(span.max_col, columns)):
                cells[row][column] = cells[first_row][first_column]
    numbered = (SourceRow(number, tuple(row)) for number, row in enumerate(cells, start=1))
    return tuple(shortened(row) for row in numbered if not row.is_empty)


def _sheet(rows: Iterable[Sequence[str]]) -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None, "a new workbook has one sheet"
    for row in rows:
        sheet.append(list(row))
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()
