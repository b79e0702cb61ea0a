"""Files that the user chooses for what the pages write and read. Nothing is asked of a record here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from buswalk.board_parts import write_sheet
from buswalk.cli.parts import Failed
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.picture import BodyTone
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.planned_list_files import PATTERNS, UnreadableList, csv_text, read_list_file
from buswalk.storage.point_list_files import read_point_list_file, write_point_list_file
from buswalk.storage.saved_text import save_lines
from buswalk.ui.file_choice import choose_to_open, choose_to_save
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.faults.ways import FileKind

ENDINGS = (".csv", ".jsonl", ".pdf")
LISTS = f"Lists ({' '.join(PATTERNS)})"
POINT_LISTS = "Values parted by commas (*.csv);;Spreadsheets (*.xlsx)"
VALUES = "Values parted by commas (*.csv)"
PAGES = "Pages (*.pdf)"
TABLES = "Values parted by commas (*.csv);;JSON lines (*.jsonl);;Pages (*.pdf)"
RECORDS = "Records of visits (*.buswalk.sqlite)"


def save_text(suggested: str, text: str) -> str:
    """Let the user choose a file for a text; return one sentence of what came of it, empty for a changed mind."""
    path = choose_to_save("Save as", suggested, VALUES)
    if not path:
        return ""
    try:
        save_lines(Path(path), text.splitlines())
    except RecordProblem as problem:
        return problem.sentence
    return f"saved as {Path(path).name}"


def print_labels(labels: Sequence[Label], turn: Turn, tone: BodyTone) -> str:
    """Let the user choose a file for labels; return one sentence of what came of it, empty for a changed mind."""
    path = choose_to_save("Labels", "labels.pdf", PAGES)
    if not path:
        return ""
    try:
        pages = write_sheet(Path(path), labels, turn, tone)
    except Failed as reason:
        return reason.sentence
    return f"saved as {Path(path).name}, {pages} page{'' if pages == 1 else 's'}"


def with_ending(file: str, kind: FileKind) -> str:
    """Return the name of a file with an ending that says how it is written; the usual one where it has none."""
    if Path(file).suffix.lower() in ENDINGS:
        return file
    return f"{file}{_usual_ending(kind)}"


def _usual_ending(kind: FileKind) -> str:
    return ".pdf" if kind is FileKind.PAGES else ".csv"


def choose_fault_file(kind: FileKind) -> str:
    """Let the user choose a file for what was not clean; return its path, empty for a changed mind."""
    kinds = PAGES if kind is FileKind.PAGES else TABLES
    file = choose_to_save("Faults", f"faults{_usual_ending(kind)}", kinds)
    return with_ending(file, kind) if file else ""


def choose_record() -> str:
    """Let the user choose a record to look at; return its path, empty for a changed mind."""
    return choose_to_open("Open a record", RECORDS)


def choose_list() -> ChosenList | None:
    """Let the user choose a planned list and read it."""
    path = choose_to_open("Bring in a list", LISTS)
    if not path:
        return None
    try:
        read = read_list_file(Path(path))
    except UnreadableList as problem:
        return ChosenList(Path(path).name, problem=problem.sentence)
    return ChosenList(read.source, read.rows)


def choose_points() -> ChosenList | None:
    """Let the user choose a point list and read it."""
    path = choose_to_open("Bring in a list", LISTS)
    return read_points_sheet(path, "") if path else None


def read_points_sheet(path: str, sheet: str) -> ChosenList:
    """Read a point list, of a workbook the sheet that is named."""
    try:
        read = read_point_list_file(Path(path), sheet)
    except UnreadableList as problem:
        return ChosenList(Path(path).name, problem=problem.sentence, path=path)
    return ChosenList(read.source, read.rows, path=path, sheets=read.sheets, sheet=read.sheet)


def save_list(suggested: str, rows: Sequence[Sequence[str]]) -> str:
    """Let the user choose where to put rows."""
    return save_text(suggested, csv_text(rows))


def save_points(suggested: str, rows: Iterable[Sequence[str]]) -> str:
    """Let the user choose a new file for points; return one sentence of what came of it, empty for a changed mind."""
    file = choose_to_save("Export list", suggested, POINT_LISTS)
    return write_points(file, rows) if file else ""


def write_points(file: str, rows: Iterable[Sequence[str]]) -> str:
    """Write points to a new file, as its ending says; return one sentence of what came of it."""
    path = Path(file) if Path(file).suffix else Path(f"{file}.csv")
    try:
        write_point_list_file(path, rows)
    except RecordProblem as problem:
        return problem.sentence
    return f"saved as {path.name}"
