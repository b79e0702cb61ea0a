"""The window is killed in the midst of traffic: port and record are free and whole, and the next start says so."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from buswalk.bus.messages import Noticed
from buswalk.bus.pace import Pace
from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.processes import BusChoice, bus_process
from buswalk.wire.opening import open_wire_line
from buswalk.wire.system_clock import SystemClock
from tests.fakes.linked_process import LinkedProcess
from tests.fakes.served_line import CHECKOUT, ServedLine, environment

SCRIPT = CHECKOUT / "tests" / "fakes" / "window_under_traffic.py"
FREE_WITHIN_S = 2.0
PLAIN = SerialSettings.of(9600, "8N1")

if sys.platform == "win32":
    pytest.skip("kills by signal", allow_module_level=True)


def killed_window(folder: Path, port: str, rows: int) -> tuple[str, set[int]]:
    """Start a window, kill it when so many rows have reached it; return its record and what it had shown."""
    paths = os.pathsep.join(str(CHECKOUT / one) for one in ("app", "simulators", "."))
    window = subprocess.Popen(
        [sys.executable, str(SCRIPT), str(folder), port],
        stdout=subprocess.PIPE,
        text=True,
        env=environment() | {"PYTHONPATH": paths},
    )
    assert window.stdout is not None
    path, shown = "", set[int]()
    for line in window.stdout:
        kind, value = line.rstrip("\n").split(" ", 1)
        if kind == "path":
            path = value
        elif kind == "row":
            shown.add(int(value))
        if len(shown) >= rows:
            break
    window.kill()
    for line in window.stdout:
        if line.startswith("row ") and line.endswith("\n"):
            shown.add(int(line.split()[1]))
    window.wait(10.0)
    window.stdout.close()
    return path, shown


def recorded_rows(path: str) -> tuple[str, set[int]]:
    """What SQLite says of the file, and every row in it."""
    tables = " UNION ".join(f"SELECT row FROM {table}" for table in ("event", "exchange", "arrival"))
    with sqlite3.connect(path) as record:
        (integrity,) = record.execute("PRAGMA integrity_check").fetchone()
        return integrity, {row for (row,) in record.execute(tables)}


def opens_within(port: str, seconds: float) -> bool:
    """Tell whether a port can be had within so long."""
    give_up_s = time.monotonic() + seconds
    while time.monotonic() < give_up_s:
        try:
            open_wire_line(port, PLAIN, PortOptions(), SystemClock()).close()
        except PortError:
            time.sleep(0.02)
        else:
            return True
    return False


def next_start_says(folder: Path) -> str:
    """What a window that is started afterwards is told first."""
    linked = LinkedProcess(bus_process(BusChoice(Pace.VIRTUAL, str(folder))))
    notice = linked.wait_for(Noticed)
    linked.close()
    return notice.sentence


@pytest.mark.parametrize("rows", [8, 60, pytest.param(150, marks=pytest.mark.long)])
def test_a_killed_window_frees_the_port_and_loses_nothing_that_it_had_shown(tmp_path: Path, rows: int) -> None:
    served = ServedLine("greenhouse", "--pty")
    try:
        path, shown = killed_window(tmp_path, served.name, rows)
        is_free = opens_within(served.name, FREE_WITHIN_S)
    finally:
        served.close()

    integrity, recorded = recorded_rows(path)
    assert is_free
    assert integrity == "ok"
    assert {row for row in shown if row} <= recorded
    assert "/visits/" in path


@pytest.mark.parametrize("rows", [60])
def test_a_killed_window_is_said_by_the_next_start(tmp_path: Path, rows: int) -> None:
    path, _ = killed_window(tmp_path, "demo:greenhouse-first-day", rows)

    sentence = next_start_says(tmp_path)

    assert "did not end in order" in sentence
    assert Path(path).name in sentence


@pytest.mark.long
@pytest.mark.parametrize("moment", range(20))
def test_a_window_killed_at_any_moment_loses_nothing_that_it_had_shown(tmp_path: Path, moment: int) -> None:
    path, shown = killed_window(tmp_path, "demo:greenhouse-first-day", 4 + (moment * 97) % 2000)

    integrity, recorded = recorded_rows(path)
    assert integrity == "ok"
    assert {row for row in shown if row} <= recorded
    assert "did not end in order" in next_start_says(tmp_path)
