"""`record marks`: marks are added, edited and taken back, and every row that was there stays as it was."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from buswalk.domain.visit.session_events import MarkMade, MarkSource
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.cli.test_faults import asked, made
from tests.fakes.command_in_process import ran
from tests.fakes.every_event import SIMULATED, STARTED


@pytest.fixture
def file(tmp_path: Path) -> str:
    """One request a second from 08:12:31.25 on, for 100 s, and one mark."""
    events = (STARTED, *asked(50), MarkMade("fan on", MarkSource.USER, 20.0), *asked(100)[50:])
    return made(tmp_path / "visit.buswalk.sqlite", *events)


def marks_of(file: str) -> list[tuple[int, int, str, float, float | None]]:
    """Return number, session, words, start and end of each mark."""
    return [
        (one["number"], one["session"], one["words"], one["at_s"], one["end_s"])
        for one in ran("record", "marks", file, "--json").events[1:]
    ]


def rows_of(file: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(file)) as connection:
        return [
            row
            for table in ("event", "exchange", "arrival", "mark")
            for row in connection.execute(f"SELECT '{table}', * FROM {table}")
        ]


def test_a_mark_is_added_back_in_time(file: str) -> None:
    before = rows_of(file)

    ended = ran("record", "marks", file, "--add", "charger  off", "--from", "08:12:41.25", "--to", "08:12:56.75")

    assert (ended.status, ended.err) == (0, "")
    assert ended.out.splitlines() == [
        "   1  session 1  2026-03-05 08:12:51  no end: to the end of its session  fan on",
        "   2  session 1  2026-03-05 08:12:41  to 08:12:56  charger off",
    ]
    assert marks_of(file)[1] == (2, 1, "charger off", 10.0, 25.5)
    assert set(before) <= set(rows_of(file))
    assert ran("record", "check", file).status == 0


def test_each_part_of_a_mark_can_be_edited_and_the_rest_stays(file: str) -> None:
    ran("record", "marks", file, "--edit", "1", "--to", "30s")
    assert marks_of(file) == [(1, 1, "fan on", 20.0, 30.0)]

    ran("record", "marks", file, "--edit", "1", "--words", "fan 2 on", "--from", "15.5s")
    assert marks_of(file) == [(1, 1, "fan 2 on", 15.5, 30.0)]

    ran("record", "marks", file, "--edit", "1", "--to", "none")
    assert marks_of(file) == [(1, 1, "fan 2 on", 15.5, None)]


def test_counts_follow_the_edited_mark(file: str) -> None:
    ran("record", "marks", file, "--edit", "1", "--from", "10s", "--to", "20.5s")

    (inside,) = [one for one in ran("faults", file, "--inside", "1", "--json").events if one["event"] == "inside_marks"]
    assert (inside["inside"], inside["outside"]) == (11, 89)


def test_a_mark_taken_back_is_gone_and_numbers_stay(file: str) -> None:
    ran("record", "marks", file, "--add", "second", "--from", "30s")

    ran("record", "marks", file, "--take-back", "1")

    assert [one[0] for one in marks_of(file)] == [2]
    shown = ran("record", "show", file)
    assert "fan on" not in shown.out
    assert "nothing asked, as where marks are edited" in shown.out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--add", "x"], "--add needs --from"),
        (["--add", " ", "--from", "1s"], "needs words that say what was done"),
        (["--add", "x", "--from", "soon"], "is no time"),
        (["--add", "x", "--from", "500s"], "no session of this record holds this time"),
        (["--add", "x", "--from", "2026-03-06 08:12:41"], "no session of this record holds this time"),
        (["--add", "x", "--from", "20s", "--to", "10s"], "a mark ends behind its start"),
        (["--add", "x", "--from", "20s", "--session", "4"], "there is no session 4"),
        (["--edit", "1"], "--edit needs what is to change"),
        (["--edit", "7", "--words", "x"], "there is no mark 7"),
        (["--edit", "1", "--from", "3s", "--session", "2"], "mark 1 stays in session 1"),
        (["--take-back", "7"], "there is no mark 7"),
        (["--from", "1s"], "go with --add or --edit"),
        (["--add", "x", "--edit", "1"], "not allowed with"),
    ],
)
def test_a_mistake_is_one_sentence_and_changes_nothing(file: str, options: list[str], words: str) -> None:
    before = Path(file).read_bytes()

    ended = ran("record", "marks", file, *options)

    assert (ended.status, ended.out, ended.err.count("\n")) == (2, "", 1)
    assert words in ended.err
    assert Path(file).read_bytes() == before


def test_a_record_that_is_being_written_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "x.buswalk.sqlite"
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)

    ended = ran("record", "marks", str(path), "--add", "x", "--from", "0s")

    assert (ended.status, ended.err.count("\n")) == (4, 1)
    assert "is being written by another window or command" in ended.err
    recorder.close()


def test_a_simulated_record_takes_marks_too(tmp_path: Path) -> None:
    file = made(tmp_path / "x.buswalk.sqlite", SIMULATED, *asked(10), is_simulated=True)

    assert ran("record", "marks", file, "--add", "x", "--from", "5s").status == 0
    assert marks_of(file) == [(1, 1, "x", 5.0, None)]
