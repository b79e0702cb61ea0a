"""A printed report as values: what stands on it, not where. Black on white; what must be on each page says so."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ReportTable:
    """Rows under heads; the first columns are read first, so the last may be narrowed.

    Raises:
        ValueError: A row has not as many cells as there are heads.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        if any(len(row) != len(self.heads) for row in self.rows):
            raise ValueError("each row has a cell under each head")


@dataclass(frozen=True, slots=True)
class ReportPart:
    """A heading, then a table if it has rows, then paragraphs."""

    heading: str
    paragraphs: tuple[str, ...]
    table: ReportTable = ReportTable((), ())


@dataclass(frozen=True, slots=True)
class ReportSheet:
    """A report.

    Attributes:
        on_each_page: Stands large at the head of each page; empty for nothing.
    """

    title: str
    on_each_page: str
    parts: tuple[ReportPart, ...]


def part(heading: str, paragraphs: Iterable[str]) -> ReportPart:
    """Return a part without a table."""
    return ReportPart(heading, tuple(paragraphs))
