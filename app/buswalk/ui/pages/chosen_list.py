"""A list that the user has chosen in the system's dialog, handed to a page by whoever may open files."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.site.list_text import SourceRow


@dataclass(frozen=True, slots=True)
class ChosenList:
    """A list that the user has chosen.

    Attributes:
        source: Name of the file.
        problem: Why there are no rows; one sentence.
        path: Of the file, to read another sheet of it.
        sheets: Of a workbook, in its order; empty for text.
        sheet: The one that the rows stand in.
    """

    source: str
    rows: tuple[SourceRow, ...] = ()
    problem: str = ""
    path: str = ""
    sheets: tuple[str, ...] = ()
    sheet: str = ""
