"""A raw network socket as a `Line`: bytes alone, neither speed nor framing nor wire time."""

from __future__ import annotations

import select
import socket
from urllib.parse import urlsplit

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.protocols import Clock
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.empty_looks import EmptyLooks

MOST_BYTES_A_READ = 4096
LONGEST_DISCARD_S = 0.1


def address_of(port: str, scheme: str) -> tuple[str, int]:
    """Return host and port number of `scheme://host:port`.

    Raises:
        PortError: The text is no such address.
    """
    try:
        parts = urlsplit(port)
        host, number = parts.hostname, parts.port
        has_more = bool(parts.path.strip("/") or parts.query or parts.fragment or parts.username)
    except ValueError:
        host, number, has_more = None, None, False
    if not host or not number or has_more:
        sentence = f"'{port}' is no network port: write {scheme}://host:port, such as {scheme}://192.168.0.10:4001"
        raise PortError(port, PortProblem.NOT_A_PORT, sentence)
    return host, number


def connect(port: str, scheme: str, timeout_s: float) -> socket.socket:
    """Return a connected socket for `scheme://host:port`.

    Raises:
        PortError: The text is no such address, or nobody answers there.
    """
    host, number = address_of(port, scheme)
    try:
        connected = socket.create_connection((host, number), timeout_s)
    except (socket.gaierror, UnicodeError) as reason:
        sentence = f"no computer is known by the name '{host}': check the name, or write its number"
        raise PortError(port, PortProblem.UNREACHABLE, sentence) from reason
    except ConnectionRefusedError as reason:
        sentence = f"{host} is there but nothing takes calls at its port {number}: check the number and the other side"
        raise PortError(port, PortProblem.UNREACHABLE, sentence) from reason
    except OSError as reason:
        sentence = f"nobody answers at {host} port {number}: check network and address"
        raise PortError(port, PortProblem.UNREACHABLE, sentence) from reason
    connected.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    connected.settimeout(timeout_s)
    return connected


class SocketLine:
    """An open raw socket."""

    def __init__(self, port: str, connected: socket.socket, settings: SerialSettings, clock: Clock) -> None:
        self._port = port
        self._socket = connected
        self._settings = settings
        self._clock = clock
        self._looks = EmptyLooks(clock, self._look)

    @property
    def traits(self) -> LineTraits:
        """It carries bytes, and nothing else."""
        return LineTraits(
            carries_speed=False,
            carries_framing=False,
            spends_wire_time=False,
            mark_reporting=MarkReporting.NOT_AVAILABLE,
            echo=Echo.NOT_HEARD,
            latency_s=ASSUMED_LATENCY_S,
            latency_source=LatencySource.ASSUMED,
            settings_change_s=0.0,
            is_simulated=False,
        )

    @property
    def settings(self) -> SerialSettings:
        """What we were told; the other side may run at anything."""
        return self._settings

    def apply(self, settings: SerialSettings) -> None:
        """Nothing to set: only our own reckoning of times changes."""
        self._settings = settings

    def write(self, data: bytes) -> Sent:
        """Hand bytes to the network."""
        if not data:
            raise ValueError("nothing to send")
        before_s = self._clock.now_s()
        try:
            self._socket.sendall(data)
        except OSError as reason:
            raise self._gone() from reason
        after_s = self._clock.now_s()
        return Sent(before_s, after_s, after_s)

    def read(self, until_s: float) -> Arrival | None:
        """Return the next lump, or None at the deadline."""
        try:
            if not self._looks.wait(until_s):
                return None
            looked_s = self._clock.now_s()
            data = self._socket.recv(MOST_BYTES_A_READ)
        except (OSError, ValueError) as reason:  # a closed socket has no number to look at: ValueError
            raise self._gone() from reason
        if not data:
            raise self._gone()
        arrival = Arrival(data, (), self._looks.last_empty_s - ASSUMED_LATENCY_S, self._clock.now_s())
        self._looks.emptied(looked_s)
        return arrival

    def discard(self) -> tuple[Arrival, ...]:
        """Take all that waits now."""
        arrivals: list[Arrival] = []
        began_s = self._clock.now_s()
        while (arrival := self.read(began_s)) is not None:
            arrivals.append(arrival)
            if self._clock.now_s() - began_s > LONGEST_DISCARD_S:
                break
        return tuple(arrivals)

    def close(self) -> None:
        """Hang up."""
        self._socket.close()

    def _look(self, seconds: float) -> bool:
        return bool(select.select([self._socket], [], [], seconds)[0])

    def _gone(self) -> PortError:
        return PortError(self._port, PortProblem.VANISHED, f"{self._port} has hung up: check the other side")
