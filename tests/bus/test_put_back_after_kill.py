"""A window is killed behind a write: the next one is told what was left changed, and puts it back under the guard."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from buswalk.bus.messages import OpenPort
from buswalk.bus.pace import Pace
from buswalk.bus.write_messages import EarlierWritesTold, PutBackPlace, UnlockWriting
from buswalk.domain.registers.writing.events import OldRead, ReadBack, WriteBegun
from buswalk.processes import BusChoice, bus_process
from tests.fakes.command_in_process import ran
from tests.fakes.commands import running
from tests.fakes.linked_process import LinkedProcess
from tests.fakes.served_line import CHECKOUT, ServedLine, environment
from tests.fakes.window_that_writes import SETTINGS

SCRIPT = CHECKOUT / "tests" / "fakes" / "window_that_writes.py"
DEVICE, REGISTER, BEFORE, WRITTEN = 37, 0, 215, 230

if sys.platform == "win32":
    pytest.skip("kills by signal", allow_module_level=True)


@pytest.fixture
def served() -> Iterator[ServedLine]:
    """A line that lives on when its client is killed: a process of its own behind a pseudo terminal."""
    line = ServedLine("slow-device", "--pty")
    yield line
    line.close()


def killed_behind_its_write(folder: Path, port: str) -> None:
    """Start a window that writes, and kill it behind the first look."""
    paths = os.pathsep.join(str(CHECKOUT / one) for one in ("app", "simulators", "."))
    window = subprocess.Popen(
        [sys.executable, str(SCRIPT), str(folder), port, str(DEVICE), str(REGISTER), str(WRITTEN)],
        stdout=subprocess.PIPE,
        text=True,
        env=environment() | {"PYTHONPATH": paths},
    )
    assert window.stdout is not None
    assert window.stdout.readline() == f"read {WRITTEN}\n"
    window.kill()
    window.wait(10.0)
    window.stdout.close()


def test_the_next_window_is_told_and_puts_back(tmp_path: Path, served: ServedLine) -> None:
    killed_behind_its_write(tmp_path, served.name)

    linked = LinkedProcess(bus_process(BusChoice(Pace.PACED, str(tmp_path))))
    try:
        linked.link.send(OpenPort(served.name, SETTINGS))
        told = linked.wait_for(EarlierWritesTold).earlier
        (change,) = told.writes.not_put_back()
        linked.link.send(UnlockWriting("putting back"))
        linked.link.send(PutBackPlace(change.intended.target, "putting back"))
        begun, look = linked.wait_for(WriteBegun), linked.wait_for(ReadBack)
    finally:
        linked.close()

    assert isinstance(change.first.begun.old, OldRead)
    assert (change.first.begun.old.words, change.last.left_behind) == ((BEFORE,), (WRITTEN,))
    assert (begun.intended.words, look.words) == ((BEFORE,), (BEFORE,))
    session = told.session(change.last.session)
    assert session is not None
    assert begun.puts_back_of == session.words


def test_a_command_that_is_killed_too_has_put_back_what_a_killed_window_left(
    tmp_path: Path, served: ServedLine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first look of the command saw the old value; asked once more nothing is left to put back."""
    killed_behind_its_write(tmp_path, served.name)
    monkeypatch.setenv("BUSWALK_DATA_FOLDER", str(tmp_path))
    line = ("put-back", "--port", served.name, "--alone", "--reason", "test", "--confirm", str(BEFORE), "--json")

    with running("buswalk.main", *line) as process:
        assert process.stdout is not None
        while '"event": "read_back"' not in (look := process.stdout.readline()):
            assert process.poll() is None
        process.kill()
        process.wait(10.0)
    again = ran(*line)

    assert json.loads(look)["words"] == [BEFORE]
    assert (again.status, again.kinds) == (0, ["started", "recorded"])
    (record,) = (tmp_path / "visits").glob("*.sqlite")
    assert ran("record", "writes", str(record)).out.splitlines()[-1] == "nothing is left changed"
