"""List files as offices write them. Spreadsheets are written by openpyxl itself, text byte by byte."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from openpyxl import Workbook

from buswalk.domain.site.list_text import SourceRow
from buswalk.domain.site.planned_list import devices_of, read_list
from buswalk.storage.planned_list_files import UnreadableList, csv_text, read_list_file

HEAD = SourceRow(1, ("address", "name"))


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.csv", b"address,name\r\n14,Gew\xc3\xa4chshaus\r\n"),
        ("b.csv", b"\xef\xbb\xbfaddress;name\r\n14;Gew\xc3\xa4chshaus\r\n"),
        ("c.csv", b"address;name\n14;Gew\xe4chshaus\n"),
        ("d.txt", "address\tname\r\n14\tGewächshaus\r\n".encode("utf-16")),
        ("e.tsv", b'address\tname\r14\t"Gew\xc3\xa4chshaus"\r'),
    ],
)
def test_text_files_of_any_office_are_read_alike(tmp_path: Path, name: str, data: bytes) -> None:
    (tmp_path / name).write_bytes(data)

    read = read_list_file(tmp_path / name)

    assert read.source == name
    assert read.rows == (HEAD, SourceRow(2, ("14", "Gewächshaus")))


def workbook(path: Path, rows: list[list[object]], empty_sheets: int = 0) -> Path:
    """Write a spreadsheet."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for _ in range(empty_sheets):
        sheet = book.create_sheet()
    for row in rows:
        sheet.append(row)
    book.save(path)
    return path


def test_a_spreadsheet_is_read_with_its_row_numbers(tmp_path: Path) -> None:
    path = workbook(tmp_path / "plan.xlsx", [["address", "name"], [], [14.0, "controller"], [11, None, "", None]])

    rows = read_list_file(path).rows

    assert rows == (HEAD, SourceRow(3, ("14", "controller")), SourceRow(4, ("11",)))


def test_a_spreadsheet_named_otherwise_is_known_by_its_content(tmp_path: Path) -> None:
    path = workbook(tmp_path / "plan.xlsx", [["address", "name"], [14, "controller"]])
    path = path.rename(tmp_path / "plan.csv")

    assert len(read_list_file(path).rows) == 2


def test_the_first_sheet_with_anything_in_it_is_taken(tmp_path: Path) -> None:
    path = workbook(tmp_path / "plan.xlsx", [["address", "name"], [14, "controller"]], empty_sheets=1)

    assert len(read_list_file(path).rows) == 2


def test_what_a_sheet_makes_of_a_framing_is_mended(tmp_path: Path) -> None:
    """A person who types 8E1 into a cell leaves the number 80 there."""
    path = workbook(tmp_path / "plan.xlsx", [["address", "speed", "framing"], [31, 19200, 80.0]])

    result = read_list("plan.xlsx", read_list_file(path).rows)

    assert [str(one.settings) for one in devices_of(result.drafts)] == ["19200 8E1"]


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("plan.xls", b"\xd0\xcf\x11\xe0", "save it as .xlsx or .csv"),
        ("plan.xlsx", b"PK\x03\x04 and then nothing", "damaged or no spreadsheet"),
        ("plan.xlsx", b"", "damaged or no spreadsheet"),
        ("plan.csv", b"\x00\x01\x02\x03", "is no text"),
        ("plan.csv", b"x" * 5_000_001, "more than 5 MB"),
    ],
)
def test_what_is_no_list_is_refused_in_one_sentence(tmp_path: Path, name: str, data: bytes, said: str) -> None:
    (tmp_path / name).write_bytes(data)

    with pytest.raises(UnreadableList) as refused:
        read_list_file(tmp_path / name)

    assert said in refused.value.sentence
    assert refused.value.sentence.startswith(name)


def test_a_file_that_is_gone_is_said(tmp_path: Path) -> None:
    with pytest.raises(UnreadableList) as refused:
        read_list_file(tmp_path / "gone.csv")

    assert "cannot be read" in refused.value.sentence


def test_a_written_list_is_read_by_another_reader() -> None:
    """Python's csv module in strict mode stands for a spreadsheet."""
    rows = [("place", "device"), ("1", 'air, "south"\nbay 2'), ("2", "Gewächshaus")]

    text = csv_text(rows)

    assert [tuple(row) for row in csv.reader(io.StringIO(text), strict=True)] == rows
