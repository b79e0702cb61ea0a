"""A serial port on the network (RFC 2217) as a `Line`. It waits for confirmations, not for fixed times."""

from __future__ import annotations

import select
import socket

from buswalk.domain.line.arrival import Arrival, CountedMarks, LineMark
from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.protocols import Clock
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.com_port_option import (
    WANTED_LINE_STATES,
    Command,
    ComPortClient,
    command_bytes,
    escaped,
    opening_bytes,
    settings_commands,
)
from buswalk.wire.port_errors import settings_refused
from buswalk.wire.port_options import PortOptions
from buswalk.wire.socket_line import connect

SCHEME = "rfc2217"
CONFIRMED_WITHIN_S = 3.0
START_UNCERTAINTY_S = 0.005
MOST_BYTES_A_READ = 4096
SETTINGS_CHANGE_S = 0.005


class Rfc2217Line:
    """An open port of a network serial server."""

    def __init__(self, port: str, connected: socket.socket, clock: Clock) -> None:
        self._port = port
        self._socket = connected
        self._clock = clock
        self._client = ComPortClient()
        self._confirmed: dict[int, int] = {}
        self._waiting = b""
        self._marks: list[LineMark] = []
        self._settings = SerialSettings.of(9600, "8N1")
        self._last_look_s = clock.now_s()
        self._sending_until_s = 0.0

    @property
    def traits(self) -> LineTraits:
        """Carries speed and framing; marks are counted; the network's delay is part of the assumed latency."""
        return LineTraits(
            carries_speed=True,
            carries_framing=True,
            spends_wire_time=True,
            mark_reporting=MarkReporting.COUNTED,
            echo=Echo.NOT_KNOWN,
            latency_s=ASSUMED_LATENCY_S,
            latency_source=LatencySource.ASSUMED,
            settings_change_s=SETTINGS_CHANGE_S,
            is_simulated=False,
        )

    @property
    def settings(self) -> SerialSettings:
        """The settings last confirmed."""
        return self._settings

    def negotiate(self, settings: SerialSettings) -> None:
        """Agree on the option, ask for line states, set the port.

        Raises:
            PortError: The other side does not know the option, is busy, or refuses the settings.
        """
        self._send(opening_bytes())
        self._send(command_bytes(Command.SET_LINE_STATE_MASK, bytes((WANTED_LINE_STATES,))))
        self._set(settings)

    def apply(self, settings: SerialSettings) -> None:
        """Send all four commands at once and wait for all confirmations; nothing if nothing changes."""
        if settings != self._settings:
            self._set(settings)

    def _set(self, settings: SerialSettings) -> None:
        commands = settings_commands(settings)
        for command in commands:
            self._confirmed.pop(command, None)
        self._send(b"".join(command_bytes(command, value) for command, value in commands.items()))
        give_up_s = self._clock.now_s() + CONFIRMED_WITHIN_S
        while not all(command in self._confirmed for command in commands):
            if self._client.is_refused or self._clock.now_s() >= give_up_s:
                sentence = f"{self._port} does not set its serial port for us: it may be in use by another client"
                raise PortError(self._port, PortProblem.BUSY, sentence)
            self._pump(give_up_s)
        for command, value in commands.items():
            if self._confirmed[command] != int.from_bytes(value, "big"):
                raise settings_refused(self._port, str(settings))
        self._settings = settings

    def write(self, data: bytes) -> Sent:
        """Hand bytes to the network; say when their last bit will have ended there."""
        if not data:
            raise ValueError("nothing to send")
        self._send(escaped(data))
        now_s = self._clock.now_s()
        begin_s = max(now_s, self._sending_until_s)
        end_s = begin_s + len(data) * self._settings.character_s
        self._sending_until_s = end_s
        return Sent(now_s, end_s, end_s + START_UNCERTAINTY_S)

    def read(self, until_s: float) -> Arrival | None:
        """Return the next lump, or None at the deadline."""
        while True:
            if self._waiting or self._marks:
                return self._arrival()
            before_s = self._clock.now_s()
            self._pump(until_s)
            if not self._waiting and not self._marks and self._clock.now_s() >= until_s:
                self._last_look_s = before_s
                return None

    def discard(self) -> tuple[Arrival, ...]:
        """Take all that waits."""
        arrivals: list[Arrival] = []
        while (arrival := self.read(self._clock.now_s())) is not None:
            arrivals.append(arrival)
        return tuple(arrivals)

    def close(self) -> None:
        """Hang up."""
        self._socket.close()

    def _arrival(self) -> Arrival:
        now_s = self._clock.now_s()
        marks = tuple(CountedMarks(self._marks.count(mark), mark) for mark in LineMark if mark in self._marks)
        arrival = Arrival(self._waiting, marks, min(self._last_look_s, now_s) - ASSUMED_LATENCY_S, now_s)
        self._waiting, self._marks, self._last_look_s = b"", [], now_s
        return arrival

    def _send(self, data: bytes) -> None:
        try:
            self._socket.sendall(data)
        except OSError as reason:
            raise self._gone() from reason

    def _pump(self, until_s: float) -> None:
        """Wait for the next piece of the stream, until then at most, and take it apart."""
        wait_s = max(0.0, until_s - self._clock.now_s())
        try:
            ready, _, _ = select.select([self._socket], [], [], wait_s)
            if not ready:
                return
            stream = self._socket.recv(MOST_BYTES_A_READ)
        except (OSError, ValueError) as reason:
            raise self._gone() from reason
        if not stream:
            raise self._gone()
        taken = self._client.feed(stream)
        self._waiting += taken.data
        self._marks.extend(taken.marks)
        self._confirmed.update({one.command: one.value for one in taken.confirmed})
        if taken.answer:
            self._send(taken.answer)

    def _gone(self) -> PortError:
        return PortError(self._port, PortProblem.VANISHED, f"{self._port} has hung up: check the other side")


def open_rfc2217_line(port: str, settings: SerialSettings, options: PortOptions, clock: Clock) -> Rfc2217Line:
    """Open `rfc2217://host:port`.

    Raises:
        PortError: Nobody answers, the other side is busy or refuses.
    """
    connected = connect(port, SCHEME, options.connect_timeout_s)
    line = Rfc2217Line(port, connected, clock)
    try:
        line.negotiate(settings)
    except PortError as error:
        line.close()
        if error.problem is PortProblem.VANISHED:
            sentence = f"{port} hung up at once: it may be in use by another client"
            raise PortError(port, PortProblem.BUSY, sentence) from error
        raise
    return line
