"""The other side of a network port: a raw one, and one made of pyserial's own RFC 2217 server.

Each runs in a thread that ends with `close`. pyserial's server is written by other people than the client under test.
"""

from __future__ import annotations

import select
import socket
import threading
import time
from collections.abc import Callable
from typing import Any, cast

import serial
from serial.rfc2217 import PortManager


class KnownPort:
    """Stands for the serial port behind pyserial's server: keeps every change, and refuses or rounds on demand."""

    def __init__(self, rounds_baud_to: int = 0) -> None:
        self.changes: list[tuple[str, object]] = []
        self._rounds_baud_to = rounds_baud_to
        self._baudrate = 300
        self._values: dict[str, object] = {}
        self.bytesize, self.parity, self.stopbits = 8, serial.PARITY_NONE, 1.0
        self.xonxoff = self.rtscts = self.break_condition = False
        self.cts = self.dsr = self.ri = self.cd = False

    def __setattr__(self, name: str, value: object) -> None:
        object.__setattr__(self, name, value)
        if name in ("bytesize", "parity", "stopbits", "rtscts", "dtr", "rts"):
            self.changes.append((name, value))

    @property
    def baudrate(self) -> int:
        """Speed now."""
        return self._baudrate

    @baudrate.setter
    def baudrate(self, wanted: int) -> None:
        self._baudrate = self._rounds_baud_to or wanted
        self.changes.append(("baudrate", wanted))

    def reset_input_buffer(self) -> None:
        """Keep that it was asked."""
        self.changes.append(("purge", "input"))

    def reset_output_buffer(self) -> None:
        """Keep that it was asked."""
        self.changes.append(("purge", "output"))


class RawPeer:
    """Takes one client and passes bytes as they are."""

    scheme = "socket"

    def __init__(self) -> None:
        self._listening = socket.create_server(("127.0.0.1", 0))
        self._client: socket.socket | None = None
        self._received = bytearray()
        self._changed = threading.Condition()
        self._is_over = False
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()

    @property
    def name(self) -> str:
        """What to open."""
        return f"{self.scheme}://127.0.0.1:{self._listening.getsockname()[1]}"

    def send(self, data: bytes) -> None:
        """Let bytes come to the program."""
        self._write(self._outgoing(data))

    def send_as_it_is(self, data: bytes) -> None:
        """Send without any escape."""
        self._write(data)

    def received(self, byte_count: int) -> bytes:
        """Return the next bytes that the program wrote, fewer only after a second."""
        with self._changed:
            self._changed.wait_for(lambda: len(self._received) >= byte_count, timeout=1.0)
            data = bytes(self._received[:byte_count])
            del self._received[:byte_count]
        return data

    @property
    def is_over(self) -> bool:
        """Whether the call has ended."""
        return not self._thread.is_alive()

    def vanish(self) -> None:
        """Hang up."""
        with self._changed:
            self._changed.wait_for(lambda: self._client is not None, timeout=1.0)
            if self._client is not None:
                self._client.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        """End the thread and give the ports back."""
        self._is_over = True
        self._thread.join(5.0)
        self._listening.close()

    def _serve(self) -> None:
        while not self._is_over and self._client is None:
            if select.select([self._listening], [], [], 0.02)[0]:
                self._take_client(self._listening.accept()[0])
        while not self._is_over and self._client is not None:
            if select.select([self._client], [], [], 0.02)[0]:
                try:
                    stream = self._client.recv(4096)
                except OSError:
                    break
                if not stream:
                    break
                with self._changed:
                    self._received += self._incoming(stream)
                    self._changed.notify_all()
        if self._client is not None:
            self._client.close()

    def _take_client(self, client: socket.socket) -> None:
        with self._changed:
            # As serial servers do: small pieces at once.
            client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self._client = client
            self._greet()
            self._changed.notify_all()

    def _write(self, data: bytes) -> None:
        with self._changed:
            self._changed.wait_for(lambda: self._client is not None, timeout=1.0)
            assert self._client is not None
            self._client.sendall(data)

    def _greet(self) -> None:
        """Say nothing."""

    def _incoming(self, stream: bytes) -> bytes:
        return stream

    def _outgoing(self, data: bytes) -> bytes:
        return data


class PyserialPeer(RawPeer):
    """pyserial's RFC 2217 server over a known port."""

    scheme = "rfc2217"

    def __init__(self, port: KnownPort | None = None) -> None:
        self.port = port or KnownPort()
        self._manager: PortManager | None = None
        super().__init__()

    def _greet(self) -> None:
        # Its types ask for a real port; it is content with what has the same names.
        self._manager = PortManager(cast(Any, self.port), cast(Any, _Writer(self._send_now)))

    def _incoming(self, stream: bytes) -> bytes:
        assert self._manager is not None
        return b"".join(self._manager.filter(stream))

    def _outgoing(self, data: bytes) -> bytes:
        return data.replace(b"\xff", b"\xff\xff")

    def _send_now(self, data: bytes) -> None:
        assert self._client is not None
        self._client.sendall(data)


class LoopPeer(PyserialPeer):
    """pyserial's server over pyserial's own looped port: what is written to it comes back."""

    def __init__(self) -> None:
        self._loop = serial.serial_for_url("loop://")
        super().__init__(cast(KnownPort, self._loop))

    def _incoming(self, stream: bytes) -> bytes:
        written = super()._incoming(stream)
        if written:
            self._loop.write(written)
            self._send_now(self._outgoing(self._loop.read(self._loop.in_waiting)))
        return written

    def close(self) -> None:
        """End the thread and give all ports back."""
        super().close()
        self._loop.close()


class RefusingPeer(RawPeer):
    """Knows Telnet, but not the option: DONT COM-PORT-OPTION."""

    scheme = "rfc2217"

    def _greet(self) -> None:
        assert self._client is not None
        self._client.sendall(bytes.fromhex("FF FE 2C"))


class _Writer:
    """What pyserial's server writes to."""

    def __init__(self, write: Callable[[bytes], None]) -> None:
        self.write = write


class BusyPeer(RawPeer):
    """Hangs up on every client at once, as a server does whose one port is taken."""

    scheme = "rfc2217"

    def _take_client(self, client: socket.socket) -> None:
        client.close()
        self._is_over = True


def wait_for(fact: Callable[[], bool], within_s: float = 1.0) -> bool:
    """Return whether a fact about another thread becomes true in time."""
    give_up_s = time.monotonic() + within_s
    while not fact() and time.monotonic() < give_up_s:
        threading.Event().wait(0.002)
    return fact()
