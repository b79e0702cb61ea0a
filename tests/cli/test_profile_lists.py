"""`profile import` and `profile export` as a user runs them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fakes.command_in_process import ran
from tests.storage.test_point_list_files import workbook

LIST = "Register;Name;Type;Factor;Unit;Colour\n100;Room;int16;0,1;°C;red\n102;Energy;uint32;;kWh;blue\n"


@pytest.fixture
def point_list(tmp_path: Path) -> Path:
    path = tmp_path / "map of the unit.csv"
    path.write_text(LIST, encoding="utf-8")
    return path


def test_what_a_list_was_taken_for_is_said_before_anything_is_kept(point_list: Path, data_folder: Path) -> None:
    ended = ran("profile", "import", str(point_list))

    assert ended.status == 0, ended.err
    assert "columns: address = 'Register', name = 'Name', type = 'Type', scale = 'Factor', unit = 'Unit'" in ended.out
    assert "not taken: Colour" in ended.out
    assert "doubt: addresses are taken as counted from 0, as sent: it begins at 100" in ended.out
    assert "doubt: no column names the table: holding registers are taken" in ended.out
    assert "nothing kept" in ended.out
    assert not (data_folder / "profiles").exists()


def test_told_instead_of_guessed_and_kept_it_is_a_profile_that_commands_know(point_list: Path) -> None:
    told = ("--notation", "from-1", "--table", "input_registers", "--column", "notes=Colour")

    ended = ran("profile", "import", str(point_list), "--name", "hall-unit", *told)
    shown = ran("profile", "show", "hall-unit", "--json")

    assert ended.status == 0, ended.err
    assert "kept as " in ended.out
    points = [one for one in shown.events if one["event"] == "point_listed"]
    assert [(one["words"], one["table"], one["register_address"]) for one in points] == [
        ("Room", "input_registers", 99),
        ("Energy", "input_registers", 101),
    ]


def test_a_profile_goes_out_as_a_list_and_comes_back_the_same(tmp_path: Path) -> None:
    file = tmp_path / "out.xlsx"

    out = ran("profile", "export", "heat-meter", str(file))
    back = ran("profile", "import", str(file), "--name", "heat-meter-again")
    before, after = ran("profile", "show", "heat-meter", "--json"), ran("profile", "show", "heat-meter-again", "--json")

    assert (out.status, back.status) == (0, 0), back.out
    keys = ("table", "register_address", "type", "word_order", "scale", "unit", "low", "high", "access")
    assert [[one[key] for key in keys] for one in after.events if one["event"] == "point_listed"] == [
        [one[key] for key in keys] for one in before.events if one["event"] == "point_listed"
    ]


def test_a_column_that_is_not_there_is_refused_with_those_that_are(point_list: Path) -> None:
    ended = ran("profile", "import", str(point_list), "--column", "unit=Units")

    assert ended.status == 2
    assert "names no heading of this list" in ended.err
    assert "Register, Name, Type, Factor, Unit, Colour" in ended.err


def test_without_known_headings_row_and_columns_are_told(tmp_path: Path) -> None:
    """Register 7 counted from 0 is sent as 7; the notation is guessed of the column that was told."""
    path = tmp_path / "odd.csv"
    path.write_text("Unit 7;;\nWas;Wo;k\nVorlauf;0;0,1\nPumpe;7;1\n", encoding="utf-8")
    told = ("--column", "address=Wo", "--column", "name=Was", "--column", "scale=k")

    refused = ran("profile", "import", str(path))
    ended = ran("profile", "import", str(path), "--head-line", "2", *told, "--name", "odd-unit")
    no_heading = ran("profile", "import", str(path), "--head-line", "0", "--column", "address=B", "--json")

    assert (refused.status, ended.status) == (2, 0)
    assert "--head-line and --column say what they are" in refused.err
    assert "columns: name = 'Was', address = 'Wo', scale = 'k'" in ended.out
    assert "doubt: addresses" not in ended.out
    assert [one["points"] for one in no_heading.events if one["event"] == "list_imported"] == [2]


def test_a_column_is_not_taken_where_that_is_told(point_list: Path) -> None:
    ended = ran("profile", "import", str(point_list), "--column", "nothing=Factor")

    assert "not taken: Factor, Colour" in ended.out


def test_a_sheet_is_named_and_the_others_are_told(tmp_path: Path) -> None:
    path = workbook(tmp_path / "map.xlsx")

    first, named = ran("profile", "import", str(path)), ran("profile", "import", str(path), "--sheet", "settings")
    wrong = ran("profile", "import", str(path), "--sheet", "others")

    assert "sheet: inputs; not taken: cover, later, settings" in first.out
    assert "map.xlsx:settings!A3: address 'x7' cannot be read" in named.out
    assert (wrong.status, wrong.err) == (2, "map.xlsx has no sheet 'others': it has cover, later, inputs, settings\n")


def test_rows_that_are_left_out_are_an_exit_status(tmp_path: Path) -> None:
    path = tmp_path / "twice.csv"
    path.write_text("Name;Register\nRoom;40001\nAgain;40001\n", encoding="utf-8")

    ended = ran("profile", "import", str(path))

    assert ended.status == 1
    assert "twice.csv:3: 40001 stands in row 2 already: left out" in ended.out


def test_a_file_that_is_no_list_gets_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear all,\nplease find the map attached.\n", encoding="utf-8")

    ended = ran("profile", "import", str(path))

    assert ended.status == 2
    assert "letter.txt: no row of headings was found" in ended.err
