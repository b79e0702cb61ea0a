"""Writes values of a trend into a file: CSV, or a workbook with a sheet of marks. Never in place of another file."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path

from buswalk.domain.trend.export_table import MOST_ROWS, ExportTable, longest_rows
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.saved_text import save_lines

WORKBOOK = ".xlsx"


@dataclass(frozen=True, slots=True)
class SaveTrend:
    """A table on its way into a file; written by the process that works things out, for it may take seconds."""

    path: str
    table: ExportTable

    def result(self) -> str:
        """Write it; return one sentence. Raises RecordProblem."""
        path = Path(self.path)
        save = _save_workbook if path.suffix.lower() == WORKBOOK else _save_csv
        rows = save(path, self.table)
        return f"saved as {path.name}, {rows} row{'' if rows == 1 else 's'}"


def _save_csv(path: Path, table: ExportTable) -> int:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.heads)
    rows = 0
    for row in table.rows():
        writer.writerow(row)
        rows += 1
    save_lines(path, out.getvalue().splitlines())
    return rows


def _save_workbook(path: Path, table: ExportTable) -> int:
    from openpyxl import Workbook

    if longest_rows(table.columns) > MOST_ROWS and len(table.times_s()) > MOST_ROWS:
        raise RecordProblem(f"a sheet holds {MOST_ROWS} rows at most: export a shorter window, or a .csv file")
    book = Workbook(write_only=True)
    values = book.create_sheet("values")
    values.append(table.heads)
    rows = 0
    for row in table.rows():
        values.append([None if cell == "" else cell for cell in row])
        rows += 1
    about = book.create_sheet("marks and source")
    about.append(("time", "line time s", "mark"))
    for mark in table.marks:
        about.append((table.stamp(mark.at_s), mark.at_s, mark.words))
    about.append(())
    about.append(("source", table.source))
    held = io.BytesIO()
    book.save(held)
    try:
        with path.open("xb") as file:
            file.write(held.getvalue())
    except FileExistsError as reason:
        raise RecordProblem(f"{path} is there already: choose another name, or delete it first") from reason
    except OSError as reason:
        why = (reason.strerror or "refused by the system").lower()
        raise RecordProblem(f"{path} cannot be written ({why}): choose another place, or make room there") from reason
    return rows
