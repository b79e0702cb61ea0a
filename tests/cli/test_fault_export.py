"""`faults --export`: tables and exchanges for spreadsheets and programs, pages to print; simulated ones say so."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.session_events import JobStarted, MarkMade, MarkSource, PortOpened
from tests.cli.test_faults import asked, made
from tests.fakes.command_in_process import ran
from tests.fakes.every_event import SETTINGS, SIMULATED, STARTED, TRAITS

FAN = MarkMade("fan on", MarkSource.USER, 99.5, EndsAt(109.5))


def record(folder: Path, *, is_simulated: bool) -> str:
    """414 requests, 3 of them lost while a fan ran."""
    opened = PortOpened("/dev/ttyUSB0", "a usual adapter", SETTINGS, TRAITS, 0.0)
    events = asked(414, frozenset({100, 101, 105}))
    started = SIMULATED if is_simulated else STARTED
    made_of = (started, opened, JobStarted(1, "watch", 0.1), *events[:99], FAN, *events[99:])
    return made(folder / "visit.buswalk.sqlite", *made_of, is_simulated=is_simulated)


def test_a_spreadsheet_gets_each_abnormal_exchange_and_the_table(tmp_path: Path) -> None:
    file = record(tmp_path, is_simulated=False)

    ended = ran("faults", file, "--export", str(tmp_path / "out.csv"))

    assert (ended.status, ended.err) == (0, "")
    exchanges = list(csv.DictReader((tmp_path / "out.csv").read_text(encoding="utf-8").splitlines()))
    assert [(one["number"], one["outcome"], one["simulated"]) for one in exchanges] == [
        ("100", "no_reply", "no"),
        ("101", "no_reply", "no"),
        ("105", "no_reply", "no"),
    ]
    (row,) = csv.DictReader((tmp_path / "out-table.csv").read_text(encoding="utf-8").splitlines())
    columns = ("answered", "refused", "no_reply", "damaged", "short", "late", "other")
    assert int(row["asked"]) == sum(int(row[one]) for one in columns) == 414
    assert (row["not_clean"], row["trials"]) == ("3", "414")
    # scipy.stats.beta.ppf(0.95, 4, 411) and beta.ppf(0.05, 3, 412)
    assert float(row["upper_95"]) == pytest.approx(0.018621359, abs=1e-8)
    assert float(row["lower_95"]) == pytest.approx(0.001977928, abs=1e-8)
    assert ended.out.splitlines()[-1].endswith("out-table.csv, 3 exchanges listed")


def test_programs_get_everything_as_json_lines(tmp_path: Path) -> None:
    file = record(tmp_path, is_simulated=False)

    ended = ran(
        "faults", file, "--export", str(tmp_path / "out.jsonl"), "--accept", "0.1%", "--exchanges", "0", "--json"
    )

    lines = [json.loads(one) for one in (tmp_path / "out.jsonl").read_text(encoding="utf-8").splitlines()]
    assert [one["event"] for one in lines] == [
        "started",
        "record_facts",
        "numbered_mark",
        "device_faults",
        "claim_checked",
        *["exchange_done"] * 3,
    ]
    assert ended.status == 1
    (exported,) = [one for one in ended.events if one["event"] == "faults_exported"]
    assert (exported["files"], exported["exchanges"]) == ([str(tmp_path / "out.jsonl")], 3)


def test_a_filter_holds_for_what_is_exported(tmp_path: Path) -> None:
    file = record(tmp_path, is_simulated=False)

    ran("faults", file, "--export", str(tmp_path / "out.csv"), "--from", "100.5s", "--kind", "no-reply")

    assert len((tmp_path / "out.csv").read_text(encoding="utf-8").splitlines()) == 1 + 2


def test_a_page_is_written_to_print(tmp_path: Path) -> None:
    file = record(tmp_path, is_simulated=True)

    ended = ran("faults", file, "--export", str(tmp_path / "out.pdf"))

    assert (ended.status, ended.err) == (0, "")
    assert (tmp_path / "out.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("name", ["out.csv", "out.jsonl", "out.pdf"])
def test_a_file_that_is_there_is_not_replaced(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("mine", encoding="utf-8")

    ended = ran("faults", record(tmp_path, is_simulated=False), "--export", str(tmp_path / name))

    assert (ended.status, ended.err.count("\n")) == (4, 1)
    assert "is there already" in ended.err
    assert (tmp_path / name).read_text(encoding="utf-8") == "mine"


def test_another_ending_is_refused_before_anything_is_counted(tmp_path: Path) -> None:
    ended = ran("faults", record(tmp_path, is_simulated=False), "--export", str(tmp_path / "out.xls"))

    assert (ended.status, ended.out, ended.err.count("\n")) == (2, "", 1)
    assert "the name ends in .csv, .jsonl, .pdf" in ended.err
