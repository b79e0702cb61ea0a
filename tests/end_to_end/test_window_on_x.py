"""The window as a program of its own on a virtual X server, with real key and mouse events."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from buswalk.domain.record_reader import EndedInOrder
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted
from buswalk.storage.visit_record.reader import open_record
from tests.fakes.served_line import CHECKOUT, environment

if sys.platform != "linux":
    pytest.skip("starts an X server", allow_module_level=True)

from tests.fakes.virtual_screen import VirtualScreen, is_here

if not is_here():
    pytest.skip("Xvfb is not installed (Debian: apt-get install xvfb)", allow_module_level=True)

WITHIN_S = 30.0
PRESS_EVERY_S = 1.0
STOP_BUTTON = (1308, 26)
"""Centre of the button in a window of 1366 x 768 at 100 %, as the look has it."""


@pytest.fixture
def screen() -> Iterator[VirtualScreen]:
    screen = VirtualScreen()
    yield screen
    screen.close()


@pytest.fixture
def window(screen: VirtualScreen, tmp_path: Path) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(
        [sys.executable, "-m", "buswalk.main", "--data-folder", str(tmp_path)],
        env=environment() | {"DISPLAY": screen.name, "QT_QPA_PLATFORM": "xcb", "QT_SCALE_FACTOR": "1"},
        cwd=CHECKOUT,
    )
    yield process
    process.kill()
    process.wait(10.0)


def recorded(folder: Path) -> list[object]:
    """What is in the record by now; nothing while there is none."""
    paths = list((folder / "demo").glob("*.buswalk.sqlite"))
    if not paths:
        return []
    try:
        reader = open_record(paths[0])
    except RecordProblem:
        return []
    events = [one.event for one in reader.events(1, 10_000)]
    reader.close()
    return events


def wait_until(is_true: Callable[[], bool], what: str) -> None:
    """Look again and again, up to a bound."""
    give_up_s = time.monotonic() + WITHIN_S
    while not is_true():
        assert time.monotonic() < give_up_s, what
        time.sleep(0.1)


def pressed_f5(screen: VirtualScreen, folder: Path) -> bool:
    """Press F5 where no job has begun: the window learns a moment after the record that the port is open."""
    has_begun = any(isinstance(one, JobStarted) for one in recorded(folder))
    if not has_begun:
        screen.key("F5")
        time.sleep(PRESS_EVERY_S)
    return has_begun


def clicked_stop(screen: VirtualScreen, folder: Path) -> bool:
    """Click on Stop where the job has not ended: a busy window draws the button a moment after the job has begun."""
    has_ended = any(isinstance(one, JobEnded) for one in recorded(folder))
    if not has_ended:
        screen.click(*STOP_BUTTON)
        time.sleep(PRESS_EVERY_S)
    return has_ended


def test_a_search_is_begun_by_a_key_ended_by_the_mouse_and_the_window_closed_by_a_key(
    screen: VirtualScreen, window: subprocess.Popen[bytes], tmp_path: Path
) -> None:
    screen.focus("buswalk")
    wait_until(lambda: len(recorded(tmp_path)) >= 3, "the demo line is open")

    wait_until(lambda: pressed_f5(screen, tmp_path), "F5 begins the search")
    wait_until(lambda: clicked_stop(screen, tmp_path), "a click on Stop ends it")
    screen.key("q", control=True)
    status = window.wait(WITHIN_S)

    (path,) = (tmp_path / "demo").glob("*.buswalk.sqlite")
    reader = open_record(path)
    (session,) = reader.facts().sessions
    (ended,) = [one.event for one in reader.events(1, 10_000) if isinstance(one.event, JobEnded)]
    reader.close()
    assert status == 0
    assert ended.end is JobEndKind.STOPPED
    assert isinstance(session.end, EndedInOrder)
