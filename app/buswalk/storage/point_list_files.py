"""Point lists in files: the same kinds as planned lists, but cells that were merged count for all rows they cover."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Sequence
from pathlib import Path

from buswalk.domain.site.list_text import SourceRow
from buswalk.storage.planned_list_files import (
    MOST_COLUMNS,
    MOST_SHEET_ROWS,
    SPREADSHEETS,
    ListFile,
    UnreadableList,
    cell_text,
    csv_text,
    read_list_file,
)
from buswalk.storage.saved_text import save_bytes


def read_point_list_file(path: Path) -> ListFile:
    """Return the rows of a point list; a merged cell stands in every row and column that it covers.

    Raises:
        UnreadableList: It cannot be read, or is no list.
    """
    read = read_list_file(path)
    if path.suffix.casefold() not in SPREADSHEETS:
        return read
    return ListFile(read.source, _filled(path.read_bytes()) or read.rows)


def write_point_list_file(path: Path, rows: Iterable[Sequence[str]]) -> None:
    """Write rows as a spreadsheet or, with any other ending, as values parted by comma.

    Raises:
        RecordProblem: The file is there already, or cannot be written.
    """
    if path.suffix.casefold() in SPREADSHEETS:
        save_bytes(path, _sheet(rows))
    else:
        save_bytes(path, csv_text(rows).encode("utf-8-sig"))


def _filled(data: bytes) -> tuple[SourceRow, ...]:
    """Return the rows of the first sheet with every merged span filled; nothing where no cell is merged."""
    from openpyxl import load_workbook

    try:
        book = load_workbook(io.BytesIO(data), data_only=True)
    except (zipfile.BadZipFile, KeyError, ValueError, OSError) as error:
        raise UnreadableList("the spreadsheet is damaged: save it again as .xlsx or .csv") from error
    try:
        sheet = next((one for one in book.worksheets if one.max_row > 1), None)
        if sheet is None or not sheet.merged_cells.ranges:
            return ()
        columns = min(sheet.max_column, MOST_COLUMNS)
        cells = [
            [cell_text(value) for value in row]
            for row in sheet.iter_rows(max_row=MOST_SHEET_ROWS, max_col=columns, values_only=True)
        ]
        for span in sheet.merged_cells.ranges:
            first_row, first_column = span.min_row - 1, span.min_col - 1
            for row in range(first_row, min(span.max_row, len(cells))):
                for column in range(first_column, min(span.max_col, columns)):
                    cells[row][column] = cells[first_row][first_column]
    finally:
        book.close()
    numbered = (SourceRow(number, tuple(row)) for number, row in enumerate(cells, start=1))
    return tuple(row for row in numbered if not row.is_empty)


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
