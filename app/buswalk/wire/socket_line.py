"""A raw network socket as a `Line`: bytes alone, neither speed nor framing nor wire time."""

from __future__ import annotations

import select
import socket

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.protocols import Clock
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings

MOST_BYTES_A_READ = 4096


def connect(port: str, scheme: str, timeout_s: float) -> socket.socket:
    """Return a connected socket for `scheme://host:port`.

    Raises:
        PortError: The text is no such address, or nobody answers there.
    """
    host, _, number = port.removeprefix(f"{scheme}://").rpartition(":")
    if not host or not number.isdigit():
        raise PortError(port, PortProblem.NOT_A_PORT, f"'{port}' is no network port: write {scheme}://host:port")
    try:
        connected = socket.create_connection((host, int(number)), timeout_s)
    except OSError as reason:
        sentence = f"nobody answers at {host} port {number}: check that the other side is running"
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
        self._last_look_s = clock.now_s()

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
        try:
            self._socket.sendall(data)
        except OSError as reason:
            raise self._gone() from reason
        now_s = self._clock.now_s()
        return Sent(now_s, now_s, now_s)

    def read(self, until_s: float) -> Arrival | None:
        """Return the next lump, or None at the deadline."""
        while True:
            before_s = self._clock.now_s()
            ready, _, _ = select.select([self._socket], [], [], max(0.0, until_s - before_s))
            if ready:
                return self._take()
            self._last_look_s = before_s
            if self._clock.now_s() >= until_s:
                return None

    def _take(self) -> Arrival:
        try:
            data = self._socket.recv(MOST_BYTES_A_READ)
        except OSError as reason:
            raise self._gone() from reason
        if not data:
            raise self._gone()
        now_s = self._clock.now_s()
        arrival = Arrival(data, (), min(self._last_look_s, now_s) - ASSUMED_LATENCY_S, now_s)
        self._last_look_s = now_s
        return arrival

    def discard(self) -> tuple[Arrival, ...]:
        """Take all that waits."""
        arrivals: list[Arrival] = []
        while (arrival := self.read(self._clock.now_s())) is not None:
            arrivals.append(arrival)
        return tuple(arrivals)

    def close(self) -> None:
        """Hang up."""
        self._socket.close()

    def _gone(self) -> PortError:
        return PortError(self._port, PortProblem.VANISHED, f"{self._port} has hung up: check the other side")
