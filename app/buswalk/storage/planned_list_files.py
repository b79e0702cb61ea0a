"""Planned lists in files: values parted by comma, semicolon or tab, or a spreadsheet. Bytes into rows, rows into bytes.

What the cells mean is not known here.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from buswalk.domain.site.list_text import SourceRow, rows_of_text

if TYPE_CHECKING:
    from openpyxl import Workbook

LARGEST_FILE_BYTES = 5_000_000
MOST_COLUMNS = 100
MOST_SHEET_ROWS = 20_000
SPREADSHEETS = (".xlsx", ".xlsm")
ZIPPED = b"PK\x03\x04"
OLD_SPREADSHEETS = (".xls", ".ods", ".numbers")
PATTERNS = ("*.csv", "*.txt", "*.tsv", "*.xlsx", "*.xlsm")
"""What a dialog offers."""


@dataclass(frozen=True, slots=True)
class ListFile:
    """The rows of a file, and the name that stands before each trouble."""

    source: str
    rows: tuple[SourceRow, ...]


class UnreadableList(Exception):
    """A file that gives no rows.

    Attributes:
        sentence: What, and what to do.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def read_list_file(path: Path) -> ListFile:
    """Return the rows of a list file.

    Raises:
        UnreadableList: It cannot be read, or is no list.
    """
    data = list_bytes(path)
    if is_spreadsheet(path, data):
        return ListFile(path.name, _sheet_rows(path.name, data))
    return ListFile(path.name, rows_of_text(list_text(path.name, data)))


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Return rows as text for a file that spreadsheets open by a double click: comma, quotes where needed, CRLF."""
    written = io.StringIO()
    csv.writer(written, lineterminator="\r\n").writerows(rows)
    return written.getvalue()


def list_bytes(path: Path) -> bytes:
    """Return what is in a list file.

    Raises:
        UnreadableList: It cannot be read, or is far too large.
    """
    if path.suffix.casefold() in OLD_SPREADSHEETS:
        raise UnreadableList(f"{path.name} is a spreadsheet of a kind that cannot be read: save it as .xlsx or .csv")
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise UnreadableList(
                f"{path.name} has more than {LARGEST_FILE_BYTES // 1_000_000} MB: no planned list does"
            )
        return path.read_bytes()
    except OSError as error:
        raise UnreadableList(f"{path.name} cannot be read ({error.strerror or error}): nothing was taken") from error


def list_text(name: str, data: bytes) -> str:
    """Return the text: UTF-8 with or without its mark, UTF-16 with its mark, else the usual one-byte code.

    Raises:
        UnreadableList: It is no text.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    if b"\0" in data:
        raise UnreadableList(f"{name} is no text: choose a .csv, .txt or .xlsx file")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def opened_book(name: str, data: bytes, *, in_passing: bool) -> Workbook:
    """Return a workbook with the values of its cells; `in_passing`: row after row, without merged spans.

    Raises:
        UnreadableList: It is damaged, or none.
    """
    # Imported where it is needed: it brings numpy along, and the window would open half a second later.
    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        return load_workbook(io.BytesIO(data), read_only=in_passing, data_only=True)
    except (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, OSError, SyntaxError, EOFError) as error:
        raise UnreadableList(f"{name} is damaged or no spreadsheet: save it again as .xlsx or .csv") from error


def is_spreadsheet(path: Path, data: bytes) -> bool:
    """Tell whether a file is a workbook, by its ending or by how it begins."""
    return path.suffix.casefold() in SPREADSHEETS or data.startswith(ZIPPED)


def shortened(row: SourceRow) -> SourceRow:
    """Take off empty cells at the end: a sheet may be formatted far to the right."""
    filled = max(i for i, cell in enumerate(row.cells) if cell.strip())
    return SourceRow(row.number, row.cells[: filled + 1])


def _sheet_rows(name: str, data: bytes) -> tuple[SourceRow, ...]:
    """Return the rows of the first sheet that has any."""
    book = opened_book(name, data, in_passing=True)
    try:
        for sheet in book.worksheets:
            cells = sheet.iter_rows(max_row=MOST_SHEET_ROWS, max_col=MOST_COLUMNS, values_only=True)
            numbered = (SourceRow(i, tuple(map(cell_text, row))) for i, row in enumerate(cells, start=1))
            rows = tuple(shortened(row) for row in numbered if not row.is_empty)
            if rows:
                return rows
    except (zipfile.BadZipFile, KeyError, ValueError, SyntaxError, EOFError) as error:
        raise UnreadableList(f"{name} is damaged inside: save it again as .xlsx or .csv") from error
    finally:
        book.close()
    return ()


def cell_text(value: object) -> str:
    """Return a cell of a sheet as the text that a person sees; empty for none."""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case float() if value.is_integer():
            return str(int(value))
        case datetime() | date():
            return value.isoformat()
        case _:
            return " ".join(str(value).split())
