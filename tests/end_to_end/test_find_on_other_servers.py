"""`find` as a user runs it, on servers that other people wrote: libmodbus and pymodbus, each in its own process."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.fakes.commands import buswalk
from tests.fakes.served_line import END_WITHIN_S

if sys.platform == "win32":
    pytest.skip("there are no pseudo terminals here", allow_module_level=True)

from tests.fakes.libmodbus_server import load_libmodbus
from tests.fakes.terminal_bridge import TerminalBridge

FAKES = Path(__file__).resolve().parents[1] / "fakes"
ADDRESS = 17


@contextmanager
def served_by(script: str) -> Iterator[str]:
    """Start a server script on one end of a bridge; hand over the port at the other end."""
    bridge = TerminalBridge()
    server = subprocess.Popen(
        [sys.executable, str(FAKES / script), bridge.server_name, "9600", str(ADDRESS)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    try:
        assert server.stdout is not None
        assert server.stdout.readline().strip() == b"ready"
        yield bridge.client_name
    finally:
        server.kill()
        server.wait(END_WITHIN_S)
        if server.stdout is not None:
            server.stdout.close()
        bridge.close()


@pytest.mark.skipif(load_libmodbus() is None, reason="libmodbus is not installed (Debian: apt-get install libmodbus5)")
@pytest.mark.parametrize("addresses", ["16-18", pytest.param("14-20", marks=pytest.mark.long)])
def test_a_libmodbus_server_is_found_in_the_one_setting_that_is_asked(addresses: str) -> None:
    """It takes the request after one for a neighbour for that neighbour's answer: a rest of 0.5 s brings it back."""
    with served_by("libmodbus_server.py") as port:
        ended = buswalk("find", "--port", port, "--alone", "--settings", "9600 8N1", "--addresses", addresses)

    assert ended.status == 0, ended.err
    assert "only 9600 8N2 is asked" in ended.out
    assert f"  {ADDRESS}  9600 no parity" in ended.out
    assert "LMB" in ended.out
    assert "1 device answers" in ended.out


def test_a_pymodbus_server_answers_at_every_address_and_that_is_said_within_twenty() -> None:
    with served_by("pymodbus_server.py") as port:
        ended = buswalk("find", "--port", port, "--alone", "--addresses", "1-60", "--json")

    (everywhere,) = [one for one in ended.events if one["event"] == "answers_everywhere"]
    assert ended.status == 0, ended.err
    assert everywhere["exception_code"] == 4
    assert everywhere["asked"] <= 20
    assert [one["server_address"] for one in ended.events if one["event"] == "found"] == [ADDRESS]
