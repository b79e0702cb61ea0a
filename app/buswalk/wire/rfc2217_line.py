"""A serial port on the network (RFC 2217) as a `Line`. It waits for confirmations, not for fixed times."""

from __future__ import annotations

import select
import socket
from collections.abc import Callable

from buswalk.domain.line.arrival import Arrival, CountedMarks, LineMark
from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.protocols import Clock
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.com_port_option import (
    Command,
    ComPortClient,
    command_bytes,
    escaped,
    opening_bytes,
    preparing_commands,
    settings_commands,
)
from buswalk.wire.empty_looks import EmptyLooks
from buswalk.wire.port_errors import settings_refused
from buswalk.wire.sending_times import SendingTimes
from buswalk.wire.socket_line import LONGEST_DISCARD_S, MOST_BYTES_A_READ, connect

SCHEME = "rfc2217"
CONFIRMED_WITHIN_S = 3.0
START_UNCERTAINTY_S = 0.005
"""A server on the network may start to send this much after our write (judgement)."""
SETTINGS_CHANGE_S = 0.005
"""Cost of new settings until the first change has been measured (judgement)."""


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
        self._tells_marks = False
        self._settings = SerialSettings.of(9600, "8N1")
        self._is_set = False
        self._settings_change_s = SETTINGS_CHANGE_S
        self._sending = SendingTimes(START_UNCERTAINTY_S)
        self._looks = EmptyLooks(clock, self._look)

    @property
    def traits(self) -> LineTraits:
        """Carries speed and framing; the network's delay is part of the assumed latency.

        Marks are counted if the server has confirmed that it tells them, or has told one.
        """
        return LineTraits(
            carries_speed=True,
            carries_framing=True,
            spends_wire_time=True,
            mark_reporting=MarkReporting.COUNTED if self._tells_marks else MarkReporting.NOT_AVAILABLE,
            echo=Echo.NOT_KNOWN,
            latency_s=ASSUMED_LATENCY_S,
            latency_source=LatencySource.ASSUMED,
            settings_change_s=self._settings_change_s,
            is_simulated=False,
        )

    @property
    def settings(self) -> SerialSettings:
        """The settings last confirmed."""
        return self._settings

    def negotiate(self, settings: SerialSettings, options: PortOptions) -> None:
        """Agree on the option, ask for line states, set the port; what had waited there before us is thrown away.

        Raises:
            PortError: The other side does not know the option, is busy, or refuses the settings.
        """
        self._send(opening_bytes())
        if not self._pump_until(lambda: self._client.is_accepted or self._client.is_refused):
            raise self._no_such_server()
        if self._client.is_refused:
            raise self._no_such_server()
        self._send(preparing_commands(dtr=options.dtr, rts=options.rts))
        self.apply(settings)
        self._waiting, self._marks = b"", []

    def apply(self, settings: SerialSettings) -> None:
        """Send all four commands at once and wait for all confirmations; nothing if nothing changes.

        Raises:
            PortError: The server has set something else: the next `apply` then sets it whatever is asked.
        """
        if self._is_set and settings == self._settings:
            return
        began_s = self._clock.now_s()
        self._is_set = False
        commands = settings_commands(settings)
        for command in commands:
            self._confirmed.pop(command, None)
        self._send(b"".join(command_bytes(command, value) for command, value in commands.items()))
        if not self._pump_until(lambda: commands.keys() <= self._confirmed.keys()):
            sentence = f"{self._port} does not set its serial port for us: it may be in use by another client"
            raise PortError(self._port, PortProblem.BUSY, sentence)
        for command, value in commands.items():
            if self._confirmed[command] != int.from_bytes(value, "big"):
                raise settings_refused(self._port, f"{settings} ({_words(command)} {self._confirmed[command]} is set)")
        self._is_set = True
        self._settings = settings
        self._settings_change_s = self._clock.now_s() - began_s

    def write(self, data: bytes) -> Sent:
        """Hand bytes to the network; say when their last bit will have ended there."""
        if not data:
            raise ValueError("nothing to send")
        before_s = self._clock.now_s()
        self._send(escaped(data))
        return self._sending.sent(before_s, self._clock.now_s(), len(data) * self._settings.character_s)

    def read(self, until_s: float) -> Arrival | None:
        """Return the next lump, or None at the deadline. Marks come before or with the bytes that they belong to."""
        if not self._looks.wait(until_s):
            return None
        now_s = self._clock.now_s()
        marks = tuple(CountedMarks(self._marks.count(mark), mark) for mark in LineMark if mark in self._marks)
        arrival = Arrival(self._waiting, marks, self._looks.last_empty_s - ASSUMED_LATENCY_S, now_s)
        self._waiting, self._marks = b"", []
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
        """Wait so long for bytes or marks; what else the stream brings does not end the wait."""
        until_s = self._clock.now_s() + seconds
        while not (self._waiting or self._marks):
            self._pump(until_s)
            if not (self._waiting or self._marks) and self._clock.now_s() >= until_s:
                return False
        return True

    def _pump_until(self, is_done: Callable[[], bool]) -> bool:
        """Take the stream apart until then; return False if that takes too long."""
        give_up_s = self._clock.now_s() + CONFIRMED_WITHIN_S
        while not is_done():
            if self._clock.now_s() >= give_up_s:
                return False
            self._pump(give_up_s)
        return True

    def _pump(self, until_s: float) -> None:
        """Wait for the next piece of the stream, until then at most, and take it apart."""
        wait_s = max(0.0, until_s - self._clock.now_s())
        try:
            ready, _, _ = select.select([self._socket], [], [], wait_s)
            if not ready:
                return
            stream = self._socket.recv(MOST_BYTES_A_READ)
        except (OSError, ValueError) as reason:  # a closed socket has no number to look at: ValueError
            raise self._gone() from reason
        if not stream:
            raise self._gone()
        taken = self._client.feed(stream)
        self._waiting += taken.data
        self._marks.extend(taken.marks)
        self._confirmed.update({one.command: one.value for one in taken.confirmed})
        self._tells_marks = self._tells_marks or bool(taken.marks or self._confirmed.get(Command.SET_LINE_STATE_MASK))
        if taken.answer:
            self._send(taken.answer)

    def _send(self, data: bytes) -> None:
        try:
            self._socket.sendall(data)
        except OSError as reason:
            raise self._gone() from reason

    def _gone(self) -> PortError:
        return PortError(self._port, PortProblem.VANISHED, f"{self._port} has hung up: check the other side")

    def _no_such_server(self) -> PortError:
        raw = self._port.replace(f"{SCHEME}://", "socket://", 1)
        sentence = f"{self._port} does not speak RFC 2217: if it passes bytes as they are, open {raw}"
        return PortError(self._port, PortProblem.NOT_A_PORT, sentence)


def _words(command: Command) -> str:
    return {
        Command.SET_BAUD_RATE: "speed",
        Command.SET_DATA_SIZE: "data bits",
        Command.SET_PARITY: "parity code",
        Command.SET_STOP_SIZE: "stop bits code",
    }.get(command, "a value")


def open_rfc2217_line(port: str, settings: SerialSettings, options: PortOptions, clock: Clock) -> Rfc2217Line:
    """Open `rfc2217://host:port`.

    Raises:
        PortError: Nobody answers, the other side is busy or refuses.
    """
    connected = connect(port, SCHEME, options.connect_timeout_s)
    line = Rfc2217Line(port, connected, clock)
    try:
        line.negotiate(settings, options)
    except PortError as error:
        line.close()
        if error.problem is PortProblem.VANISHED:
            sentence = f"{port} hung up at once: it may be in use by another client"
            raise PortError(port, PortProblem.BUSY, sentence) from error
        raise
    return line
