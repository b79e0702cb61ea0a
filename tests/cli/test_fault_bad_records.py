"""Records that are not as they should be: one sentence each, and the rest is used."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from buswalk.domain.visit.session_events import MarkMade, MarkSource
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.cli.test_faults import asked, made
from tests.fakes.command_in_process import ran
from tests.fakes.every_event import STARTED


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a record may be made."""
    return tmp_path / "visit.buswalk.sqlite"


def set_header(path: Path, pragma: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA {pragma}")
        connection.commit()


def counted(out: str) -> int:
    return int(out.splitlines()[1].split()[0])


@pytest.mark.parametrize("options", [[], ["--from", "1s"], ["--accept", "1%"]])
@pytest.mark.parametrize("share", [0.7, 0.8, 0.9, 0.97, 0.995])
def test_a_cut_record_is_used_as_far_as_it_goes(path: Path, options: list[str], share: float) -> None:
    """A copy that ended too soon, also in the midst of a page: what is missing is never passed over in silence."""
    made(path, STARTED, *asked(3000))
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])

    ended = ran("faults", str(path), *options)

    assert (ended.status, ended.err.count("\n")) == (1, 1)
    assert "damaged" in ended.err or "was cut" in ended.err
    assert 1000 < counted(ended.out) < 3000


def test_a_record_of_a_newer_version_is_not_guessed_at(path: Path) -> None:
    made(path, STARTED, *asked(3))
    set_header(path, "user_version = 2")

    ended = ran("faults", str(path))

    assert (ended.status, ended.out, ended.err.count("\n")) == (2, "", 1)
    assert "newer" in ended.err


@pytest.mark.parametrize("command", [["faults"], ["record", "marks"]])
def test_a_file_of_another_program_is_left_alone(path: Path, command: list[str]) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE exchange (number INTEGER)")
        connection.commit()
    before = path.read_bytes()

    ended = ran(*command, str(path))

    assert (ended.status, ended.out, ended.err.count("\n")) == (2, "", 1)
    assert path.read_bytes() == before


@pytest.mark.parametrize("data", [b"", b"SQLite format 3\x00", b"\x00" * 8192, b"<html>"])
def test_what_is_no_record_at_all_is_one_sentence(path: Path, data: bytes) -> None:
    path.write_bytes(data)

    ended = ran("faults", str(path))

    assert (ended.status, ended.out, ended.err.count("\n")) == (2, "", 1)


def test_a_record_that_is_being_written_is_counted_as_far_as_it_is(path: Path) -> None:
    """A second one cannot write into it, but everybody may read."""
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)
    for one in asked(30, frozenset({7})):
        recorder.keep(one, one.exchange.ended_s)

    ended = ran("faults", str(path))
    second = ran("record", "marks", str(path), "--add", "fan on", "--from", "3s")

    assert (ended.status, ended.err, counted(ended.out)) == (0, "", 30)
    assert second.status == 4
    for one in asked(40)[30:]:
        recorder.keep(one, one.exchange.ended_s)
    recorder.close()
    assert counted(ran("faults", str(path)).out) == 40


def test_a_jump_of_the_clock_inside_is_said_and_the_rest_is_used(path: Path) -> None:
    jump = MarkMade("the computer slept, or its clock was set forward, by 5:00", MarkSource.CLOCK, 20.0)
    made(path, STARTED, *asked(19), jump, *asked(50)[19:])

    ended = ran("faults", str(path))

    assert (ended.status, counted(ended.out)) == (0, 50)
    (line,) = [one for one in ended.out.splitlines() if "the computer slept" in one]
    assert line.startswith("2026-03-05 08:12:51 ")
    assert line.endswith("by 5:00: times of the wall behind it are those of the clock before")


def test_a_mark_that_names_no_session_harms_nothing(path: Path) -> None:
    file = made(path, STARTED, *asked(10), MarkMade("x", MarkSource.USER, 3.0, session=9))

    ended = ran("record", "marks", file)

    assert (ended.status, ended.err) == (0, "")
    assert "time not known" in ended.out
    assert ran("faults", file, "--inside", "1").status == 0
