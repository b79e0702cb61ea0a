"""The window's own options, and what is said where no window can open. Nothing is opened here."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from buswalk.bus.pace import Pace
from buswalk.cli.parts import WrongUse
from buswalk.desktop_options import FIRST_PORT, desktop_choice
from buswalk.domain.line.port_options import Direction
from buswalk.domain.record_reader import EndedInOrder
from buswalk.main import run
from buswalk.storage.visit_record.reader import open_record
from tests.fakes.served_line import CHECKOUT, environment


def test_without_options_the_demo_line_is_opened_at_the_usual_pace() -> None:
    choice = desktop_choice(())

    assert (choice.port, str(choice.settings), choice.pace) == (FIRST_PORT, "9600 8N1", Pace.PACED)


def test_options_choose_port_setting_and_place_of_files() -> None:
    choice = desktop_choice(
        ["--port", "COM7", "--baud", "19200", "--framing", "8E1", "--data-folder", "visits", "--direction", "rts"]
    )

    assert (choice.port, str(choice.settings), choice.data_folder) == ("COM7", "19200 8E1", "visits")
    assert choice.options.direction is Direction.RTS


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--framing", "8X1"], "8X1"),
        (["--baud", "-5"], "--baud"),
        (["--what"], "the window takes --port"),
        (["--clock", "sun"], "--clock"),
    ],
)
def test_options_that_cannot_be_get_one_sentence(
    arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status = run(arguments)

    said = capsys.readouterr()
    assert (status, said.out) == (2, "")
    assert words in said.err
    assert said.err.count("\n") == 1


def test_the_choice_itself_raises() -> None:
    with pytest.raises(WrongUse):
        desktop_choice(["--baud", "fast"])


def test_without_a_screen_the_command_line_is_named() -> None:
    lacking = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    surroundings = {name: value for name, value in environment().items() if name not in lacking}

    done = subprocess.run(
        [sys.executable, "-m", "buswalk.main"],
        capture_output=True,
        text=True,
        timeout=30,
        env=surroundings,
        cwd=CHECKOUT,
        check=False,
    )

    assert (done.returncode, done.stdout) == (3, "")
    assert done.stderr.startswith("there is no screen to open a window on; the command line does the same work")
    assert done.stderr.count("\n") == 1


@pytest.mark.skipif(sys.platform == "win32", reason="sends POSIX signals")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_closes_the_window_in_order(tmp_path: Path, number: signal.Signals) -> None:
    """Ctrl-C in the terminal it was started from, or the end of a login."""
    window = subprocess.Popen(
        [sys.executable, "-m", "buswalk.main", "--data-folder", str(tmp_path), "--clock", "virtual"],
        env=environment() | {"QT_QPA_PLATFORM": "offscreen"},
        cwd=CHECKOUT,
        stderr=subprocess.PIPE,
        text=True,
    )
    give_up_s = time.monotonic() + 30.0
    while not list(tmp_path.glob("demo/*.sqlite")) and time.monotonic() < give_up_s:
        time.sleep(0.05)
    time.sleep(1.0)

    window.send_signal(number)
    _, said = window.communicate(timeout=20.0)

    (path,) = (tmp_path / "demo").glob("*.buswalk.sqlite")
    reader = open_record(path)
    (session,) = reader.facts().sessions
    reader.close()
    assert (window.returncode, said) == (0, "")
    assert isinstance(session.end, EndedInOrder)
