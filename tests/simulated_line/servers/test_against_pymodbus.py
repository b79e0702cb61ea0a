"""Our server beside pymodbus' own: the same questions, the same answers, and where theirs are not the standard's."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import tty
from collections.abc import Iterator
from pathlib import Path

import pytest

from simulated_line.reference_codec.check_sum import closed
from tests.simulated_line.servers.compared_servers import REQUESTS, SERVER, our_frame, our_server

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="this system has no pseudo terminals")
SCRIPT = Path(__file__).parents[2] / "fakes" / "pymodbus_tables.py"
ANSWERS_WITHIN_S = 2.0
SILENT_FOR_S = 0.3


class PymodbusServer:
    """pymodbus in a process of its own on one end of a pseudo terminal; we speak on the other."""

    def __init__(self) -> None:
        self._far, near = os.openpty()
        tty.setraw(near)
        arguments = [sys.executable, str(SCRIPT), os.ttyname(near), str(SERVER)]
        self._process = subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True)
        assert self._process.stdout is not None
        assert self._process.stdout.readline() == "ready\n"
        os.close(near)

    def ask(self, frame: bytes, reply_bytes: int) -> bytes:
        """Send a frame and return so many bytes of reply, fewer if it falls silent before."""
        os.write(self._far, frame)
        reply = b""
        while len(reply) < reply_bytes and select.select([self._far], [], [], ANSWERS_WITHIN_S)[0]:
            reply += os.read(self._far, reply_bytes - len(reply))
        return reply

    def is_silent(self) -> bool:
        """Tell whether nothing comes for a while."""
        return not select.select([self._far], [], [], SILENT_FOR_S)[0]

    def end(self) -> None:
        """Kill it and give the terminal back."""
        self._process.kill()
        self._process.communicate()
        os.close(self._far)


@pytest.fixture
def pymodbus() -> Iterator[PymodbusServer]:
    """A server that nobody has asked anything."""
    served = PymodbusServer()
    yield served
    served.end()


ALSO_EQUAL = (
    bytes.fromhex("07"),
    bytes.fromhex("08 00 00 A5 37"),
    bytes.fromhex("0B"),
    bytes.fromhex("0C"),
    bytes.fromhex("0F 00 08 00 0A 03 CD 01 00"),
    bytes.fromhex("10 00 05 00 02 03 AA AA BB"),
    bytes.fromhex("16 00 FF 00 00 00 00"),
)
"""Counters stand at 0 on both sides; wrong byte counts; a mask outside the table."""


def test_pymodbus_answers_the_same(pymodbus: PymodbusServer) -> None:
    ours = our_server()

    for pdu in (*ALSO_EQUAL, *REQUESTS):
        expected = our_frame(ours, pdu)
        assert pymodbus.ask(closed(bytes((SERVER,)) + pdu), len(expected)) == expected, pdu.hex(" ")


@pytest.mark.parametrize(
    ("pdu", "ours", "theirs"),
    [
        ("03 00 00 00 00", "83 03", "80 01"),
        ("03 00 00 00 7E", "83 03", "80 01"),
        ("01 00 00 07 D1", "81 03", "80 01"),
        ("05 00 01 12 34", "85 03", "05 00 01 FF 00"),
    ],
)
def test_where_pymodbus_deviates_from_the_standard(pymodbus: PymodbusServer, pdu: str, ours: str, theirs: str) -> None:
    """A wrong quantity is 03 with the function asked (V1.1b3, 6.1, 6.3); a coil is written by 0000 or FF00 (6.5)."""
    expected = closed(bytes((SERVER,)) + bytes.fromhex(theirs))

    got = pymodbus.ask(closed(bytes((SERVER,)) + bytes.fromhex(pdu)), len(expected))

    assert got == expected
    assert our_frame(our_server(), bytes.fromhex(pdu)) == closed(bytes((SERVER,)) + bytes.fromhex(ours))


def test_pymodbus_writes_though_it_refuses_to_read(pymodbus: PymodbusServer) -> None:
    """Both spans are checked before anything is done (V1.1b3, figure of 6.17): ours keeps 1001, theirs has 7."""
    ours = our_server()
    read_write, read_back = bytes.fromhex("17 00 2E 00 03 00 01 00 01 02 00 07"), bytes.fromhex("03 00 01 00 01")

    refusals = [pymodbus.ask(closed(bytes((SERVER,)) + read_write), 5), our_frame(ours, read_write)]

    assert refusals == [closed(bytes((SERVER, 0x97, 0x02)))] * 2
    assert pymodbus.ask(closed(bytes((SERVER,)) + read_back), 7)[3:5] == bytes.fromhex("00 07")
    assert our_frame(ours, read_back)[3:5] == bytes.fromhex("03 E9")


def test_pymodbus_says_nothing_to_a_function_it_does_not_know(pymodbus: PymodbusServer) -> None:
    """The standard wants exception 01 (V1.1b3, 7), and so ours says."""
    assert pymodbus.ask(closed(bytes((SERVER, 0x64, 0x00))), 0) == b""
    assert pymodbus.is_silent()
    assert our_frame(our_server(), bytes.fromhex("64 00")) == closed(bytes((SERVER, 0xE4, 0x01)))


@pytest.mark.parametrize("address", [0, 6, 247])
def test_pymodbus_refuses_for_addresses_it_does_not_have(pymodbus: PymodbusServer, address: int) -> None:
    """Serial Line V1.02, 2.1 and 2.2: nobody answers for others, nor to a broadcast; ours is silent on a line."""
    refusal = closed(bytes((address, 0x83, 0x04)))

    assert pymodbus.ask(closed(bytes((address,)) + bytes.fromhex("03 00 00 00 01")), len(refusal)) == refusal
