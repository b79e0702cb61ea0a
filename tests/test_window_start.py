"""The window's own options, and what is said where no window can open. Nothing is opened here."""

from __future__ import annotations

import subprocess
import sys

import pytest

from buswalk.bus.pace import Pace
from buswalk.cli.parts import WrongUse
from buswalk.desktop_options import FIRST_PORT, desktop_choice
from buswalk.domain.line.port_options import Direction
from buswalk.main import run
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
