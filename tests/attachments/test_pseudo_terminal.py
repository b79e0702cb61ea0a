"""The pseudo terminal itself: its link, its descriptors, speed and order of bytes."""

from __future__ import annotations

import os
import sys
import termios
from collections.abc import Iterator
from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.attachments.peer import ApplySpeed, Send
from simulated_line.attachments.pseudo_terminal import PseudoTerminal

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo terminals on this system")

USUAL = SerialSettings.of(9600, "8N1")


@pytest.fixture
def terminal() -> Iterator[PseudoTerminal]:
    terminal = PseudoTerminal(USUAL, None)
    yield terminal
    terminal.close()


@pytest.fixture
def near(terminal: PseudoTerminal) -> Iterator[int]:
    """The program's end, open."""
    descriptor = os.open(terminal.device, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
    yield descriptor
    os.close(descriptor)


def open_descriptors() -> int:
    return len(list(Path("/dev/fd").iterdir()))


def test_a_link_that_cannot_be_made_leaves_nothing_open(tmp_path: Path) -> None:
    before = open_descriptors()

    with pytest.raises(FileNotFoundError):
        PseudoTerminal(USUAL, tmp_path / "missing" / "link")

    assert open_descriptors() == before


def test_a_file_is_not_replaced_by_a_link(tmp_path: Path) -> None:
    file = tmp_path / "notes"
    file.write_text("kept")

    with pytest.raises(FileExistsError, match="exists and is no link"):
        PseudoTerminal(USUAL, file)

    assert file.read_text() == "kept"


def test_a_link_of_an_earlier_run_is_replaced_and_taken_away_at_the_end(tmp_path: Path) -> None:
    link = tmp_path / "line"
    link.symlink_to(tmp_path / "gone")
    terminal = PseudoTerminal(USUAL, link)
    pointed_to = str(link.readlink())

    terminal.close()

    assert pointed_to.startswith("/dev/")
    assert not link.is_symlink()


def test_a_link_that_others_have_taken_over_is_left_to_them(tmp_path: Path) -> None:
    link = tmp_path / "line"
    terminal = PseudoTerminal(USUAL, link)
    link.unlink()
    link.symlink_to(tmp_path / "theirs")

    terminal.close()

    assert link.readlink() == tmp_path / "theirs"


def test_the_speed_comes_before_the_bytes(terminal: PseudoTerminal, near: int) -> None:
    attributes = termios.tcgetattr(near)
    attributes[4] = attributes[5] = termios.B19200
    termios.tcsetattr(near, termios.TCSANOW, attributes)
    os.write(near, b"\x01\x02")

    acts = terminal.acts()

    assert acts == (ApplySpeed(19200), Send(b"\x01\x02"))


def test_a_program_that_reads_late_gets_all_in_order(terminal: PseudoTerminal, near: int) -> None:
    """The kernel takes some 4 KiB; a poller that is busy for half a minute at 9600 baud has as much waiting."""
    data = bytes(range(256)) * 100
    terminal.deliver(data, ())

    got = b""
    for _ in range(1000):
        try:
            got += os.read(near, 4096)
        except BlockingIOError:
            terminal.acts()
        if len(got) == len(data):
            break

    assert got == data
