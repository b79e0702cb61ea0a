"""Point lists in spreadsheets made by another library, merged cells and damage included."""

from __future__ import annotations

from pathlib import Path

import pytest
import xlsxwriter  # type: ignore[import-untyped]

from buswalk.domain.registers.point_list.address_cells import ListNotation
from buswalk.domain.registers.point_list.mapping import guessed_mapping
from buswalk.domain.registers.point_list.reading import ReadPoints, read_points
from buswalk.domain.registers.point_list.writing import rows_of_points
from buswalk.domain.registers.tables import Table
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.planned_list_files import UnreadableList
from buswalk.storage.point_list_files import read_point_list_file, write_point_list_file


def spreadsheet(path: Path, rows: list[list[object]], merged: tuple[str, str] = ("", "")) -> Path:
    """A workbook written by XlsxWriter, which shares no code with the library that reads it."""
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("map")
    for number, row in enumerate(rows):
        sheet.write_row(number, 0, row)
    if merged[0]:
        sheet.merge_range(merged[0], merged[1])
    book.close()
    return path


def read(path: Path) -> ReadPoints:
    file = read_point_list_file(path)
    return read_points(file.source, file.rows, guessed_mapping(file.rows).mapping)


def test_a_spreadsheet_of_another_library_is_read(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Address", "Type", "Name", "Scale"],
        [40001, "int16", "Room", 0.1],
        [40002, "uint32", "Energy", 0.001],
    ]

    room, energy = read(spreadsheet(tmp_path / "map.xlsx", rows)).points

    assert (room.words, str(room.scale), room.register_address) == ("Room", "0.1", 0)
    assert (energy.words, str(energy.scale), energy.value_type.bits) == ("Energy", "0.001", 32)


def test_a_merged_cell_counts_for_all_rows_that_it_covers(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Table", "Address", "Name"],
        ["", 0, "Room"],
        ["", 1, "Supply"],
        ["holding register", 0, "Setpoint"],
    ]
    path = spreadsheet(tmp_path / "map.xlsx", rows, ("A2:A3", "input register"))

    result = read(path)

    assert [one.table for one in result.points] == [Table.INPUT_REGISTERS] * 2 + [Table.HOLDING_REGISTERS]
    assert result.troubles == ()


def workbook(path: Path) -> Path:
    """A cover, an empty sheet, two maps; written by XlsxWriter."""
    book = xlsxwriter.Workbook(str(path))
    sheets: dict[str, list[list[object]]] = {
        "cover": [["Unit 7", "Revision B"]],
        "later": [],
        "inputs": [["Address", "Name"], [30001, "Room"]],
        "settings": [["Address", "Name"], [40001, "Setpoint"], ["x7", "Torn"]],
    }
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    book.close()
    return path


def test_of_a_workbook_the_first_sheet_with_a_point_list_is_taken_and_any_can_be_named(tmp_path: Path) -> None:
    path = workbook(tmp_path / "map.xlsx")

    guessed, named = read_point_list_file(path), read_point_list_file(path, "settings")

    assert (guessed.sheet, guessed.sheets) == ("inputs", ("cover", "later", "inputs", "settings"))
    assert [row.cells for row in named.rows[:2]] == [("Address", "Name"), ("40001", "Setpoint")]
    assert read_point_list_file(path, "later").rows == ()
    with pytest.raises(UnreadableList, match="no sheet 'others': it has cover, later, inputs, settings"):
        read_point_list_file(path, "others")


def test_what_cannot_be_read_is_told_by_sheet_and_cell(tmp_path: Path) -> None:
    """By the name that every spreadsheet gives a cell."""
    file = read_point_list_file(workbook(tmp_path / "map.xlsx"), "settings")

    (trouble,) = read_points(file.source, file.rows, guessed_mapping(file.rows).mapping, file.sheet).troubles

    assert str(trouble).startswith("map.xlsx:settings!A3: address 'x7' cannot be read")


@pytest.mark.parametrize("ending", [".xlsx", ".csv"])
def test_what_is_written_to_a_file_is_read_again(tmp_path: Path, ending: str) -> None:
    rows: list[list[object]] = [["Address", "Type", "Name"], [40001, "int16", "Room"]]
    points = read(spreadsheet(tmp_path / "map.xlsx", rows)).points
    back = tmp_path / f"back{ending}"

    write_point_list_file(back, rows_of_points(points, ListNotation.REFERENCE))

    assert read(back).points == points


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    there = tmp_path / "there.xlsx"
    there.write_text("mine")

    with pytest.raises(RecordProblem, match="is there already"):
        write_point_list_file(there, [("a", "b")])

    assert there.read_text() == "mine"


def test_a_damaged_spreadsheet_gets_a_sentence(tmp_path: Path) -> None:
    path = spreadsheet(tmp_path / "map.xlsx", [["Address", "Name"], [1, "Room"]])
    path.write_bytes(path.read_bytes()[:400])

    with pytest.raises(UnreadableList, match="damaged"):
        read_point_list_file(path)
