"""What was not clean is written into a file by a process of its own; what cannot be written is one sentence."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from buswalk.chosen_files import with_ending
from buswalk.domain.statistics.fault_filter import ALL, FaultFilter, FaultKind
from buswalk.fault_exporting import FaultExports, FaultsToWrite, write_faults
from buswalk.ui.pages.faults.ways import FileKind
from tests.ui.pages.faults.faults_stage import write_record

WITHIN_S = 60.0


@pytest.fixture
def record(tmp_path: Path) -> Path:
    """52 exchanges of it were not clean."""
    path = tmp_path / "visit.buswalk.sqlite"
    write_record(path, is_simulated=True)
    return path


def test_a_table_of_values_lists_what_the_filter_lets_through(record: Path, tmp_path: Path) -> None:
    wanted = FaultFilter(addresses=frozenset({22}), kinds=frozenset({FaultKind.DAMAGED, FaultKind.SHORT}))

    said = write_faults(FaultsToWrite(str(record), wanted, str(tmp_path / "out.csv")))

    assert said == "saved as out.csv and out-table.csv"
    assert len((tmp_path / "out.csv").read_text().splitlines()) == 1 + 2


def test_json_lines_hold_every_exchange_that_was_not_clean(record: Path, tmp_path: Path) -> None:
    write_faults(FaultsToWrite(str(record), FaultFilter(jobs=frozenset({"watch"})), str(tmp_path / "out.jsonl")))

    events = [json.loads(line)["event"] for line in (tmp_path / "out.jsonl").read_text().splitlines()]
    assert events.count("exchange_done") == 52


def test_a_page_is_a_pdf(record: Path, tmp_path: Path) -> None:
    write_faults(FaultsToWrite(str(record), ALL, str(tmp_path / "out.pdf")))

    assert (tmp_path / "out.pdf").read_bytes().startswith(b"%PDF-")


def test_a_file_that_is_there_is_not_written_over(record: Path, tmp_path: Path) -> None:
    (tmp_path / "out.csv").write_text("mine")

    said = write_faults(FaultsToWrite(str(record), ALL, str(tmp_path / "out.csv")))

    assert "is there already" in said
    assert (tmp_path / "out.csv").read_text() == "mine"


def test_a_record_that_is_gone_is_one_sentence(tmp_path: Path) -> None:
    said = write_faults(FaultsToWrite(str(tmp_path / "none.buswalk.sqlite"), ALL, str(tmp_path / "out.csv")))

    assert said
    assert not (tmp_path / "out.csv").exists()


def test_the_process_tells_what_came_of_it(record: Path, tmp_path: Path) -> None:
    exports, told = FaultExports(), list[str]()
    exports.start(FaultsToWrite(str(record), ALL, str(tmp_path / "out.csv")), told.append)
    until_s = time.monotonic() + WITHIN_S

    while not told and time.monotonic() < until_s:
        exports.deliver()

    assert told == ["saved as out.csv and out-table.csv"]


@pytest.mark.parametrize(
    ("typed", "kind", "file"),
    [
        ("day", FileKind.TABLES, "day.csv"),
        ("day", FileKind.PAGES, "day.pdf"),
        ("day.jsonl", FileKind.TABLES, "day.jsonl"),
        ("day.1", FileKind.PAGES, "day.1.pdf"),
    ],
)
def test_a_name_without_an_ending_gets_the_usual_one(typed: str, kind: FileKind, file: str) -> None:
    assert with_ending(typed, kind) == file
