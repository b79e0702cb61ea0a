"""Our server beside libmodbus' mapping code: the same questions, the same answers.

It is driven through its shared library over a pseudo terminal, where it is installed.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import os
import threading
from collections.abc import Iterator

import pytest

from simulated_line.reference_codec.check_sum import closed
from tests.simulated_line.servers.compared_servers import QUANTITY, REQUESTS, SERVER, our_frame, our_server


def load_libmodbus() -> ctypes.CDLL | None:
    """The shared library, or None."""
    try:
        return ctypes.CDLL("libmodbus.so.5", use_errno=True)
    except OSError:
        return None


LIBMODBUS = load_libmodbus()


class Mapping(ctypes.Structure):
    """`modbus_mapping_t` of libmodbus 3.1."""

    _fields_ = (
        ("nb_bits", ctypes.c_int),
        ("start_bits", ctypes.c_int),
        ("nb_input_bits", ctypes.c_int),
        ("start_input_bits", ctypes.c_int),
        ("nb_input_registers", ctypes.c_int),
        ("start_input_registers", ctypes.c_int),
        ("nb_registers", ctypes.c_int),
        ("start_registers", ctypes.c_int),
        ("tab_bits", ctypes.POINTER(ctypes.c_uint8)),
        ("tab_input_bits", ctypes.POINTER(ctypes.c_uint8)),
        ("tab_input_registers", ctypes.POINTER(ctypes.c_uint16)),
        ("tab_registers", ctypes.POINTER(ctypes.c_uint16)),
    )


class LibmodbusServer:
    """libmodbus on one end of a pseudo terminal; we speak on the other."""

    def __init__(self, library: ctypes.CDLL) -> None:
        self._library = library
        self._master, slave = os.openpty()
        library.modbus_new_rtu.restype = ctypes.c_void_p
        library.modbus_mapping_new.restype = ctypes.POINTER(Mapping)
        self._context = ctypes.c_void_p(
            library.modbus_new_rtu(os.ttyname(slave).encode(), 115200, ctypes.c_char(b"N"), 8, 1)
        )
        library.modbus_set_slave(self._context, SERVER)
        assert library.modbus_connect(self._context) == 0
        self._mapping = library.modbus_mapping_new(QUANTITY, QUANTITY, QUANTITY, QUANTITY)
        for at in range(QUANTITY):
            self._mapping.contents.tab_registers[at] = 1000 + at
            self._mapping.contents.tab_input_registers[at] = 2000 + at
            self._mapping.contents.tab_bits[at] = at % 3 == 0
            self._mapping.contents.tab_input_bits[at] = at % 5 == 0
        self._is_ended = False
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()

    def _serve(self) -> None:
        query = (ctypes.c_uint8 * 260)()
        while not self._is_ended:
            length = self._library.modbus_receive(self._context, query)
            if length > 0:
                self._library.modbus_reply(self._context, query, length, self._mapping)

    def ask(self, frame: bytes, reply_bytes: int) -> bytes:
        """Send a frame and return so many bytes of reply."""
        os.write(self._master, frame)
        reply = b""
        while len(reply) < reply_bytes:
            reply += os.read(self._master, reply_bytes - len(reply))
        return reply

    def end(self) -> None:
        """Wake the thread with a last question and wait for it; where it has seen the end before, nobody answers."""
        self._is_ended = True
        os.write(self._master, closed(bytes((SERVER, 3, 0, 0, 0, 1))))
        self._thread.join(5.0)
        assert not self._thread.is_alive()
        self._library.modbus_close(self._context)
        os.close(self._master)


@pytest.fixture
def libmodbus_server() -> Iterator[LibmodbusServer]:
    """A running libmodbus server."""
    if LIBMODBUS is None:
        pytest.skip("libmodbus is not installed here (Debian: apt-get install libmodbus5)")
    served = LibmodbusServer(LIBMODBUS)
    yield served
    served.end()


def test_libmodbus_answers_the_same(libmodbus_server: LibmodbusServer) -> None:
    """Reads, writes and refusals, in one session, so that what is written is read back from both."""
    ours = our_server()

    for pdu in REQUESTS:
        expected = our_frame(ours, pdu)
        assert libmodbus_server.ask(closed(bytes((SERVER,)) + pdu), len(expected)) == expected, pdu.hex(" ")
