"""The rows of a point list with where they stand: a file, and in a workbook a sheet. Reading files is storage's."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.site.list_text import SourceRow

LETTERS = 26


@dataclass(frozen=True, slots=True)
class ListRows:
    """Rows as they were read.

    Attributes:
        source: Name of the file.
        sheets: Of a workbook, in its order; empty for text.
        sheet: The one that the rows stand in; empty for text.
    """

    source: str
    rows: tuple[SourceRow, ...]
    sheets: tuple[str, ...] = ()
    sheet: str = ""


def column_letters(index: int) -> str:
    """Return what a spreadsheet calls a column: A for 0, Z for 25, AA for 26."""
    letters = ""
    number = index + 1
    while number:
        number, rest = divmod(number - 1, LETTERS)
        letters = chr(ord("A") + rest) + letters
    return letters
