"""Which file a command records in, and what it does where that cannot be."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest

from buswalk.bus.stop_request import StopRequest
from buswalk.cli.command_line import run_command
from buswalk.command_parts import standard_parts
from buswalk.domain.line.port_error import PortError
from buswalk.domain.visit.session_events import (
    MarkMade,
)
from buswalk.storage.file_lock import FileLock
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.command_in_process import handing, ran, ran_on
from tests.fakes.every_event import SIMULATED
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.read_record import events_of, facts_of, numbers_of, records_in
from tests.fakes.replaying_line import ReplayingLine
from tests.fakes.watched_output import watched

ASK = ("ask", "--port", "demo:greenhouse", "--clock", "virtual", "--address", "21")
FIND = ("find", "--port", "demo:greenhouse", "--clock", "virtual", "--alone", "--addresses", "21-22")
LISTEN = ("listen", "--port", "demo:another-client", "--clock", "virtual", "--seconds", "1")
GREENHOUSE = "demo/unsaved-greenhouse.buswalk.sqlite"


# Which file


def test_two_commands_go_on_in_the_same_file(data_folder: Path) -> None:
    first, second = ran(*ASK, "--json"), ran(*ASK, "--json")

    facts = facts_of(data_folder / GREENHOUSE)
    shown = [one["exchange"]["number"] for run in (first, second) for one in run.events if "exchange" in one]
    assert records_in(data_folder) == [GREENHOUSE]
    assert shown == numbers_of(data_folder / GREENHOUSE) == [1, 2]
    assert [one.exchanges for one in facts.sessions] == [1, 1]
    assert second.events[-1] == {
        "event": "recorded",
        "path": str(data_folder / GREENHOUSE),
        "exchanges": 2,
        "is_simulated": True,
        "problem": "",
    }


def test_a_second_writer_takes_the_next_number_and_says_so(data_folder: Path) -> None:
    path = data_folder / GREENHOUSE
    path.parent.mkdir(parents=True)
    other = open_visit_record(path, is_simulated=True)
    other.keep(SIMULATED, 0.0)

    ended = ran(*ASK)
    other.close()

    second = data_folder / "demo" / "unsaved-greenhouse-2.buswalk.sqlite"
    words = f"{path.name} is being written by another window or command: this session is recorded in {second.name}"
    assert (ended.status, ended.err) == (0, f"{words}\n")
    assert str(second) in ended.recorded
    assert [one.words for one in events_of(second) if isinstance(one, MarkMade)] == [words]
    assert facts_of(path).exchanges == 0


def test_records_of_other_simulated_lines_are_left_to_the_window(data_folder: Path) -> None:
    ran(*ASK)

    ran(*LISTEN)

    assert records_in(data_folder) == ["demo/unsaved-another-client.buswalk.sqlite", GREENHOUSE]


def test_people_are_told_that_a_simulated_record_is_cleared(data_folder: Path) -> None:
    ended = ran(*ASK)

    assert ended.recorded == (
        f"recorded in {data_folder / GREENHOUSE} (a simulated line: cleared at the next start of the window)\n"
    )


def test_a_data_folder_can_be_chosen(data_folder: Path, tmp_path: Path) -> None:
    ran(*ASK, "--data-folder", str(tmp_path / "chosen"))

    assert records_in(tmp_path / "chosen") == [GREENHOUSE]
    assert not data_folder.exists()


def test_a_named_file_is_the_only_one(data_folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "hall-3.buswalk.sqlite"

    ended = ran(*ASK, "--record", str(path))
    again = ran(*ASK, "--record", str(path))

    assert (ended.status, again.status) == (0, 0)
    assert ended.recorded == f"recorded in {path}\n"
    assert numbers_of(path) == [1, 2]
    assert not data_folder.exists()


def test_no_record_is_none(data_folder: Path) -> None:
    ended = ran(*ASK, "--no-record", "--json")

    assert (ended.status, ended.err, ended.recorded) == (0, "", "")
    assert ended.kinds == ["started", "exchange_done"]
    assert ended.events[1]["exchange"]["number"] == 1
    assert not data_folder.exists()


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--record", "x.buswalk.sqlite", "--no-record"], "--no-record: not allowed with argument --record"),
        (["--record", ""], "--record '' cannot be: name a file"),
    ],
)
def test_a_wish_that_cannot_be_is_wrong_use(options: list[str], words: str) -> None:
    ended = ran(*ASK, *options)

    assert (ended.status, ended.out) == (2, "")
    assert words in ended.err and ended.err.count("\n") == 1


# What cannot be recorded


def foreign_file(folder: Path) -> Path:
    (folder / "notes.txt").write_text("bring the long ladder\n" * 40, encoding="utf-8")
    return folder / "notes.txt"


def simulated_record(folder: Path) -> Path:
    recorder = open_visit_record(folder / "demo.buswalk.sqlite", is_simulated=True)
    recorder.keep(SIMULATED, 0.0)
    recorder.close()
    return folder / "demo.buswalk.sqlite"


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda folder: folder / "nowhere" / "a.buswalk.sqlite", "the folder of {} is not there: make it, or name"),
        (foreign_file, "{} is no record of buswalk and is left as it is: check the name, or name another"),
        (simulated_record, "{} is the record of a simulated line: it takes nothing of a real one, or name another"),
        (lambda folder: folder, "{} cannot be written: get the right to write there, or name another file"),
    ],
)
@pytest.mark.parametrize("command", ["ask --address 37", "find", "listen"])
def test_without_the_named_file_nothing_is_sent(command: str, make: Any, words: str, tmp_path: Path) -> None:
    path = make(tmp_path)
    before = path.read_bytes() if path.is_file() else b""
    clock = JumpingClock()
    line = ReplayingLine(clock)

    ended = ran_on(handing(line, clock), *command.split(), "--port", "COM7", "--record", str(path), "--json")

    assert ended.status == 4
    assert ended.err.startswith("not begun: " + words.format(path)) and ended.err.count("\n") == 1
    assert ended.events == [{"event": "failed", "sentence": ended.err.strip(), "exit_status": 4}]
    assert line.writes == [] and ended.recorded == ""
    assert (path.read_bytes() if path.is_file() else b"") == before
    with pytest.raises(PortError):
        line.read(1.0)


def test_a_named_file_that_another_one_writes_is_not_begun(tmp_path: Path) -> None:
    lock = FileLock(tmp_path / "a.buswalk.sqlite")
    lock.take()

    ended = ran(*ASK, "--record", str(tmp_path / "a.buswalk.sqlite"))
    lock.give_back()

    assert ended.status == 4
    assert "is being written by another window or command: end that one first, or name another file" in ended.err


def test_where_the_usual_place_cannot_be_written_work_goes_on_and_does_not_pretend(data_folder: Path) -> None:
    data_folder.write_text("a file where the folder should be")

    ended = ran(*ASK, "--json")

    assert (ended.status, ended.recorded) == (0, "")
    assert "work goes on, but nothing more is recorded" in ended.err and ended.err.count("\n") == 1
    assert ended.kinds == ["started", "exchange_done", "recorded"]
    assert (ended.events[-1]["path"], ended.events[-1]["problem"]) == ("", ended.err.strip())


def test_a_record_that_breaks_off_is_said_once_and_work_goes_on() -> None:
    status, happened, err = watched(*FIND, fails_from=8)

    assert status == 0
    assert "2 devices answer" in "".join(one for one in happened if isinstance(one, str))
    assert err.splitlines() == [
        "the disk is full: make room, then open the port again",
        "recorded in memory/watched, but not to the end",
    ]


class Terminal(io.StringIO):
    """An error stream that is a terminal."""

    def isatty(self) -> bool:
        return True


def test_on_a_terminal_the_file_is_named_on_a_line_of_its_own(data_folder: Path) -> None:
    err = Terminal()

    run_command(list(FIND), standard_parts(io.StringIO(), err, StopRequest()))

    before, words = err.getvalue().rsplit("\r", 1)
    assert words.startswith(f"recorded in {data_folder / GREENHOUSE}") and words.count("\n") == 1
    assert before.rsplit("\r", 1)[1] == " " * 79
    assert "asked" in before


def test_a_named_record_that_breaks_off_is_an_exit_status() -> None:
    status, happened, err = watched(*FIND, "--record", "x", "--json", fails_from=8)

    said = json.loads(str(happened[-1]))
    assert status == 4
    assert err.count("the disk is full") == 1
    assert (said["event"], said["problem"]) == ("recorded", "the disk is full: make room, then open the port again")
