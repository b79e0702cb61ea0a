"""What a port is, before anything is sent through it."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, LatencySource
from buswalk.wire.port_facts import is_plain_file, is_pseudo_terminal, nature_of


@pytest.mark.parametrize(
    ("system", "name", "major_number", "expected"),
    [
        # Linux, list of devices: 136-143 Unix98 pseudo terminals, 4 built-in serial ports, 188 USB serial ports.
        ("linux", "/dev/pts/0", 136, True),
        ("linux", "/dev/pts/4095", 143, True),
        ("linux", "/dev/ttyS0", 4, False),
        ("linux", "/dev/ttyUSB0", 188, False),
        # macOS: pseudo terminals are ttys000 and so on; serial ports cu.*.
        ("darwin", "/dev/ttys003", 16, True),
        ("darwin", "/dev/cu.usbserial-1420", 18, False),
        ("win32", "COM3", 0, False),
    ],
)
def test_a_pseudo_terminal_is_told_by_number_or_name(
    system: str, name: str, major_number: int, *, expected: bool
) -> None:
    assert is_pseudo_terminal(system, name, major_number) == expected


def test_files_and_folders_are_no_ports(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"")

    assert is_plain_file(str(file))
    assert is_plain_file(str(tmp_path))
    assert not is_plain_file(str(tmp_path / "nothing"))
    assert not is_plain_file("/dev/a\0b")


def test_a_port_of_which_nothing_is_known_has_the_assumed_latency() -> None:
    nature = nature_of("/dev/no-such-port")

    assert (nature.latency_s, nature.latency_source) == (ASSUMED_LATENCY_S, LatencySource.ASSUMED)
    assert not nature.is_pseudo_terminal
