"""A serial server on the network (RFC 2217): one client at a time, exact settings, line errors where asked for."""

from __future__ import annotations

import select
import socket

from buswalk.domain.line.arrival import ByteMark, LineMark, Mark
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.attachments.outbox import Outbox
from simulated_line.attachments.peer import Act
from simulated_line.attachments.telnet_server import ServerSide

MOST_BYTES_A_READ = 4096
STATE_BITS = {LineMark.OVERRUN: 2, LineMark.PARITY_ERROR: 4, LineMark.FRAMING_ERROR: 8, LineMark.BREAK: 16}


class NetworkPort:
    """Listens on the loopback address; port 0 takes a free one.

    Raises:
        OSError: The port number is taken or forbidden.
    """

    def __init__(self, first: SerialSettings, number: int) -> None:
        self._first = first
        self._server = ServerSide(first)
        self._listening = socket.create_server(("127.0.0.1", number))
        self._listening.setblocking(False)  # noqa: FBT003 - the system's own signature
        self._client: socket.socket | None = None
        self._outbox = Outbox(self._write)

    @property
    def carries_framing(self) -> bool:
        """The option does."""
        return True

    @property
    def name(self) -> str:
        """What to open."""
        host, number = self._listening.getsockname()[:2]
        return f"rfc2217://{host}:{number}"

    def descriptors(self) -> list[int]:
        """The listening socket, and the client's."""
        client = [self._client.fileno()] if self._client is not None else []
        return [self._listening.fileno(), *client]

    def acts(self) -> tuple[Act, ...]:
        """Take new clients, and what the present one sends."""
        self._accept()
        self._outbox.push()
        acts: list[Act] = []
        while self._client is not None and select.select([self._client], [], [], 0.0)[0]:
            try:
                stream = self._client.recv(MOST_BYTES_A_READ)
            except OSError:
                stream = b""
            if not stream:
                self._client.close()
                self._client = None
                break
            done, answer = self._server.feed(stream)
            acts += done
            self._outbox.put(answer)
        return tuple(acts)

    def settings(self) -> SerialSettings:
        """Return what the client has set."""
        return self._server.settings

    def deliver(self, data: bytes, marks: tuple[Mark, ...]) -> None:
        """Send the client what was received, its errors first."""
        bits = 0
        for mark in marks:
            if isinstance(mark, ByteMark):
                bits |= STATE_BITS.get(mark.mark, 0)
        if self._client is not None:
            self._outbox.put(self._server.line_state(bits) + self._server.to_client(data))

    def close(self) -> None:
        """Hang up and listen no more."""
        if self._client is not None:
            self._client.close()
        self._listening.close()

    def _accept(self) -> None:
        while select.select([self._listening], [], [], 0.0)[0]:
            client, _ = self._listening.accept()
            if self._client is not None:
                # One port, one client: the second is hung up on, which it can tell from silence.
                client.close()
                continue
            client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            client.setblocking(False)  # noqa: FBT003 - the system's own signature
            self._client = client
            self._outbox.clear()
            self._server = ServerSide(self._first)

    def _write(self, data: bytes) -> int:
        """Return how much the client took; one that has hung up is noticed at the next read."""
        try:
            return self._client.send(data) if self._client is not None else 0
        except OSError:
            return 0
