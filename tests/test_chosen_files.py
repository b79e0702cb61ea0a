"""Points are written as the ending of the chosen file says, and never over a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.chosen_files import read_points_sheet, write_points
from buswalk.storage.point_list_files import read_point_list_file
from tests.storage.test_point_list_files import workbook


@pytest.mark.parametrize(("chosen", "written"), [("p", "p.csv"), ("p.csv", "p.csv"), ("p.xlsx", "p.xlsx")])
def test_points_are_exported_as_the_ending_says_and_never_over_a_file(
    tmp_path: Path, chosen: str, written: str
) -> None:
    """A second export to the same name is refused, and the first stays as it was."""
    assert write_points(str(tmp_path / chosen), [("name", "address"), ("Flow", "40003")]) == f"saved as {written}"
    before = (tmp_path / written).read_bytes()

    said = write_points(str(tmp_path / chosen), [("name", "address"), ("Flow", "2")])

    assert "saved" not in said
    assert written in said
    assert (tmp_path / written).read_bytes() == before
    assert read_point_list_file(tmp_path / written).rows[1].cells == ("Flow", "40003")


def test_a_sheet_of_a_chosen_workbook_is_read_and_what_cannot_be_is_one_sentence(tmp_path: Path) -> None:
    path = str(workbook(tmp_path / "map.xlsx"))

    first, other, missing = (read_points_sheet(path, sheet) for sheet in ("", "settings", "others"))

    assert (first.sheet, first.path, first.problem) == ("inputs", path, "")
    assert other.rows[1].cells == ("40001", "Setpoint")
    assert missing.problem == "map.xlsx has no sheet 'others': it has cover, later, inputs, settings"
    assert read_points_sheet(str(tmp_path / "gone.csv"), "").problem.startswith("gone.csv cannot be read")
