"""What happens to a record when the process dies, the disk fills, the file is damaged, newer, or cannot be written."""

from __future__ import annotations

import os
import random
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.record_reader import ExchangePage, NotEnded
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.data_folders import data_folders
from buswalk.storage.folder_places import Surroundings
from buswalk.storage.nothing_recorded import NothingRecorded
from buswalk.storage.port_records import RecordWish
from buswalk.storage.record_files import open_recorder
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import VisitRecorder, open_visit_record
from tests.fakes.every_event import EVERY_EVENT, STARTED, exchange
from tests.fakes.record_writer import written
from tests.fakes.served_line import CHECKOUT, environment

WRITER = "tests.fakes.record_writer"
LONGEST_LIFE_S = 0.35
only_as_root = pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0, reason="another user can be taken by root only"
)
not_as_root = pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="root may write to every folder")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a record may be made."""
    return tmp_path / "visit.buswalk.sqlite"


def killed_after(path: Path, seconds: float) -> int:
    """Let a process record and kill it so long after its first word; return the last number that it said."""
    arguments = [sys.executable, "-m", WRITER, str(path)]
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, env=environment(), cwd=CHECKOUT) as writer:
        assert writer.stdout is not None
        first = writer.stdout.readline()
        time.sleep(seconds)
        writer.kill()
        said = (first + writer.stdout.read()).split(b"\n")
    return int(said[-2]) if len(said) > 1 else 0


def require_whole(path: Path, acknowledged: int) -> None:
    reader = open_record(path)
    facts = reader.facts()
    assert reader.problems() == ()
    assert facts.exchanges >= acknowledged
    assert isinstance(facts.sessions[-1].end, NotEnded)
    last = reader.exchange(acknowledged)
    assert last is not None and last.exchange == written(acknowledged)
    reader.close()


def lives(count: int) -> Iterator[float]:
    seed = random.SystemRandom().randrange(1_000_000)
    print(f"seed {seed}")
    moments = random.Random(seed)
    for _ in range(count):
        yield moments.uniform(0.0, LONGEST_LIFE_S)


def kill_again_and_again(path: Path, count: int) -> None:
    for seconds in lives(count):
        require_whole(path, killed_after(path, seconds))


def test_what_was_acknowledged_before_a_kill_is_in_the_record(path: Path) -> None:
    kill_again_and_again(path, 2)

    recorder = open_visit_record(path, is_simulated=False)
    assert recorder.next_exchange_number == recorder.state.exchanges + 1
    recorder.close()


@pytest.mark.long
def test_twenty_kills_in_one_file_lose_nothing_acknowledged(path: Path) -> None:
    kill_again_and_again(path, 20)


def test_a_full_disk_stops_recording_with_one_sentence_and_keeps_what_there_is(path: Path) -> None:
    recorder = open_visit_record(path, is_simulated=False, most_pages=60)
    recorder.begin(STARTED)
    kept = 0

    with pytest.raises(RecordProblem) as problem:
        while True:
            recorder.keep(ExchangeDone(exchange(kept + 1)), 1.0)
            kept += 1

    assert problem.value.sentence == (
        f"the disk that holds {path} is full: work goes on, but nothing more is recorded; make room, then open the "
        "port again"
    )
    assert recorder.state.problem == problem.value.sentence
    assert recorder.state.exchanges == kept
    recorder.close()
    reader = open_record(path)
    assert (reader.facts().exchanges, reader.problems()) == (kept, ())
    reader.close()


def test_once_it_has_failed_a_recorder_does_not_pretend(path: Path) -> None:
    recorder = open_visit_record(path, is_simulated=False, most_pages=60)
    recorder.begin(STARTED)
    with pytest.raises(RecordProblem) as first:
        for number in range(1, 10_000):
            recorder.keep(ExchangeDone(exchange(number)), 1.0)

    with pytest.raises(RecordProblem) as second:
        recorder.keep(EVERY_EVENT[1], 2.0)
    with pytest.raises(RecordProblem):
        recorder.settle()

    assert second.value.sentence == first.value.sentence
    recorder.close()


def filled(path: Path, count: int) -> None:
    recorder = open_visit_record(path, is_simulated=False)
    recorder.begin(STARTED)
    for number in range(1, count + 1):
        recorder.keep(ExchangeDone(exchange(number, at_s=float(number), server_address=1 + number % 200)), 1.0)
    recorder.close()


def spoil(path: Path) -> None:
    """Overwrite whole pages in the middle, as a dying disk does; the header and the first tables stay."""
    size = path.stat().st_size
    with path.open("r+b") as file:
        for at in range(size // 2 // 4096 * 4096, size - 8 * 4096, 4096):
            file.seek(at)
            file.write(b"\xa5" * 4096)


def test_a_record_damaged_in_the_middle_is_said_to_be_and_its_beginning_can_be_read(path: Path) -> None:
    filled(path, 3000)
    spoil(path)
    reader = open_record(path)

    problems = reader.problems()

    assert problems and "damaged" in problems[0]
    assert reader.exchanges(ExchangePage(0, 5))[0].exchange.number == 1
    with pytest.raises(RecordProblem, match="is damaged"):
        number = 0
        while page := reader.exchanges(ExchangePage(number, 500)):
            number = page[-1].exchange.number
    reader.close()


def test_writing_into_a_damaged_record_ends_with_one_sentence(path: Path) -> None:
    filled(path, 3000)
    spoil(path)

    with pytest.raises(RecordProblem) as problem:
        recorder = open_visit_record(path, is_simulated=False)
        recorder.begin(STARTED)
        for number in range(recorder.next_exchange_number, 10_000):
            recorder.keep(ExchangeDone(exchange(number, server_address=1 + number % 200)), 1.0)

    assert problem.value.sentence.startswith(f"{path} is damaged: work goes on, but nothing more is recorded")


def test_after_damage_a_new_session_is_recorded_in_a_new_file(tmp_path: Path) -> None:
    folders = data_folders(str(tmp_path), {})
    folders.visits.mkdir()
    path = folders.visits / "2026-03-05-COM3.buswalk.sqlite"
    filled(path, 50)
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xa5" * (path.stat().st_size - 4096))

    opened = open_recorder(folders, RecordWish("COM3"), STARTED, Surroundings((), tmp_path))

    assert opened.recorder.state.name == "2026-03-05-COM3-2"
    assert "damaged" in opened.notices[0]
    opened.recorder.close()


def with_version(path: Path, version: int) -> None:
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA user_version = {version}")
    connection.close()


def test_a_record_of_a_newer_version_is_neither_read_nor_written(path: Path) -> None:
    filled(path, 1)
    with_version(path, 2)
    before = path.read_bytes()

    with pytest.raises(RecordProblem, match="newer version"):
        open_visit_record(path, is_simulated=False)
    with pytest.raises(RecordProblem, match="newer version"):
        open_record(path)

    assert path.read_bytes() == before


def test_an_event_of_a_newer_version_does_not_hide_the_rest(path: Path) -> None:
    """Tables and kinds may be added without a new schema number."""
    filled(path, 2)
    connection = sqlite3.connect(path)
    connection.execute("INSERT INTO event VALUES (4, 1, NULL, 5000000000, 'tomorrows_event', '{\"a\": 1}')")
    connection.commit()
    connection.close()
    reader = open_record(path)

    kinds = [type(one.event).__name__ for one in reader.events(1, 10)]

    assert kinds == ["SessionStarted", "ExchangeDone", "ExchangeDone", "UnknownEvent"]
    reader.close()


def test_a_foreign_database_is_no_record(path: Path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE something (x)")
    connection.close()

    with pytest.raises(RecordProblem, match="is no record of buswalk"):
        open_record(path)
    with pytest.raises(RecordProblem, match="is no record of buswalk"):
        open_visit_record(path, is_simulated=False)


def test_a_record_that_is_not_there_is_not_made_by_reading(path: Path) -> None:
    with pytest.raises(RecordProblem, match="is not there"):
        open_record(path)

    assert not path.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="an open file cannot be deleted there")
def test_a_record_deleted_while_it_is_written_is_noticed(path: Path) -> None:
    """SQLite would go on writing into a file that nobody finds any more."""
    recorder = open_visit_record(path, is_simulated=False)
    recorder.begin(STARTED)
    path.unlink()

    with pytest.raises(RecordProblem, match="gone, moved or deleted"):
        recorder.settle()

    recorder.close()


def test_a_reader_in_the_midst_of_reading_does_not_hold_up_the_writer(path: Path) -> None:
    recorder = open_visit_record(path, is_simulated=False)
    recorder.begin(STARTED)
    recorder.keep(ExchangeDone(exchange(1)), 1.0)
    other = sqlite3.connect(path)
    cursor = other.execute("SELECT * FROM exchange")
    cursor.fetchone()

    recorder.keep(ExchangeDone(exchange(2)), 1.0)
    recorder.settle()
    recorder.keep(ExchangeDone(exchange(3)), 1.0)

    assert recorder.state.exchanges == 3
    other.close()
    recorder.close()


def test_a_program_that_holds_the_file_is_named_as_the_cause(path: Path) -> None:
    recorder = open_visit_record(path, is_simulated=False)
    recorder.begin(STARTED)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")

    with pytest.raises(RecordProblem, match="held by another program"):
        recorder.keep(ExchangeDone(exchange(1)), 1.0)

    other.close()
    recorder.close()


def test_exchanges_out_of_order_are_our_own_mistake(path: Path) -> None:
    recorder = open_visit_record(path, is_simulated=False)
    with pytest.raises(ValueError, match="a session begins"):
        recorder.keep(ExchangeDone(exchange(1)), 1.0)
    recorder.begin(STARTED)
    recorder.keep(ExchangeDone(exchange(5)), 1.0)

    with pytest.raises(ValueError, match="comes after"):
        recorder.keep(ExchangeDone(exchange(5)), 1.0)

    assert isinstance(recorder, VisitRecorder) and recorder.state.problem == ""
    recorder.close()


def run_as_nobody(path: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", WRITER, str(path), "without-rights"],
        env=environment() | {"PYTHONDONTWRITEBYTECODE": "1"},
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        timeout=30,
        check=False,
    )


def require_refused_without_rights(sentence: str, path: Path) -> None:
    assert sentence.startswith(f"{path} cannot be written: work goes on, but nothing more is recorded; ")
    assert "--data-folder" in sentence


@not_as_root
def test_a_read_only_folder_is_said(tmp_path: Path) -> None:
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o555)

    opened = open_recorder(data_folders(str(folder), {}), RecordWish("COM3"), STARTED, Surroundings((), tmp_path))

    require_refused_without_rights(opened.recorder.state.problem, folder / "visits")
    assert isinstance(opened.recorder, NothingRecorded)


@only_as_root
def test_a_read_only_folder_is_said_to_a_user_without_rights(tmp_path: Path) -> None:
    """As root a read-only folder is written all the same: so another user tries."""
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o755)
    for parent in (tmp_path, tmp_path.parent, tmp_path.parent.parent):
        parent.chmod(0o755)

    ended = run_as_nobody(folder / "visit.buswalk.sqlite")

    assert ended.returncode == 4, ended.stderr
    require_refused_without_rights(ended.stderr, folder / "visit.buswalk.sqlite")


@only_as_root
def test_a_read_only_record_is_said_to_a_user_without_rights(tmp_path: Path) -> None:
    folder = tmp_path / "open"
    folder.mkdir()
    folder.chmod(0o777)
    for parent in (tmp_path, tmp_path.parent, tmp_path.parent.parent):
        parent.chmod(0o755)
    path = folder / "visit.buswalk.sqlite"
    filled(path, 3)
    path.chmod(0o444)

    ended = run_as_nobody(path)

    assert ended.returncode == 4, ended.stderr
    require_refused_without_rights(ended.stderr, path)
