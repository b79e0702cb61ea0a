"""Text of a list into rows of cells: tabs as spreadsheets paste them, or values parted by comma or semicolon."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass

SEPARATORS = ("\t", ";", ",", "|")
BYTE_ORDER_MARK = "\ufeff"
LOOKED_AT = 20
"""So many lines decide which separator a text has."""


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One row as it was written.

    Attributes:
        number: Of its line in the file or row of the sheet, from 1: what an editor shows.
    """

    number: int
    cells: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """Whether nothing is written in it."""
        return not any(cell.strip() for cell in self.cells)


def rows_of_text(text: str) -> tuple[SourceRow, ...]:
    """Return the rows of a text, empty ones left out; the separator is found out."""
    plain = text.removeprefix(BYTE_ORDER_MARK).replace("\r\n", "\n").replace("\r", "\n").replace("\0", "")
    lines = plain.split("\n")
    begin = 0
    separator = _told_separator(lines[0])
    if separator:
        begin = 1
    separator = separator or _found_separator(line for line in lines if line.strip())
    reader = csv.reader(io.StringIO("\n".join(lines[begin:])), delimiter=separator, skipinitialspace=separator != "\t")
    rows: list[SourceRow] = []
    first_line = begin + 1
    try:
        for cells in reader:
            rows.append(SourceRow(first_line, tuple(" ".join(cell.split()) for cell in cells)))
            first_line = begin + reader.line_num + 1
    except csv.Error:
        # A quote that never ends, or a cell without end: then quotes mean nothing in this text.
        rows = [
            SourceRow(number, tuple(" ".join(cell.split()) for cell in line.split(separator)))
            for number, line in enumerate(lines[begin:], start=begin + 1)
        ]
    return tuple(row for row in rows if not row.is_empty)


def _told_separator(line: str) -> str:
    """Return what a first line `sep=;` says, as spreadsheets write it."""
    told = line.strip().strip('"')
    return told[4:5] if told.casefold().startswith("sep=") and len(told) >= 5 else ""


def _found_separator(lines: Iterable[str]) -> str:
    """Return the separator by which the lines fall into the most even rows; a tab wherever there is one."""
    looked_at = [line for _, line in zip(range(LOOKED_AT), lines, strict=False)]
    if any("\t" in line for line in looked_at):
        return "\t"
    counts = {one: [line.count(one) for line in looked_at] for one in SEPARATORS}
    in_all = [one for one in SEPARATORS if counts[one] and min(counts[one]) > 0]
    if in_all:
        return min(in_all, key=lambda one: (max(counts[one]) - min(counts[one]), SEPARATORS.index(one)))
    return max(SEPARATORS, key=lambda one: (sum(counts[one]), -SEPARATORS.index(one)))
