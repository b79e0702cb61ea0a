"""A serial port as a `Line`, over pyserial. pyserial opens and sets it; the exchange path touches no property of it.

Every change of a property makes pyserial set the whole port anew, which costs time, can spoil bytes on their way, and
clears the error marks: so there is one reconfiguration an `apply`, and the marks are set again behind it.
"""

from __future__ import annotations

import os
import select
import sys
import time
from typing import Any, Protocol

import serial

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import Echo, LineTraits, MarkReporting
from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.protocols import Clock
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.wire import port_facts
from buswalk.wire.mark_decoder import MarkDecoder
from buswalk.wire.port_errors import FOREIGN_ERRORS, opening_failed, settings_refused, vanished
from buswalk.wire.port_options import Direction, PortOptions
from buswalk.wire.posix_marks import set_marks

START_UNCERTAINTY_S = 0.002
"""An adapter may start to send this much after the write: one USB frame and the driver's queue (judgement)."""
SETTINGS_CHANGE_S = 0.002
ESCAPE_WAIT_S = 0.002
MOST_BYTES_A_READ = 4096
POLL_S = 0.001
"""Where the system cannot wait for bytes and a deadline at once (Windows), it is looked at so often."""
_PARITIES = {Parity.NONE: serial.PARITY_NONE, Parity.EVEN: serial.PARITY_EVEN, Parity.ODD: serial.PARITY_ODD}


class SerialLine:
    """An open serial port."""

    def __init__(self, port: str, opened: serial.Serial, clock: Clock, nature: port_facts.PortNature) -> None:
        self._port = port
        self._serial = opened
        self._descriptor = opened.fd if os.name == "posix" and opened.fd is not None else -1
        self._clock = clock
        self._nature = nature
        self._decoder = MarkDecoder()
        self._settings = SerialSettings(9600, Parity.NONE, 1)
        self._marks = MarkReporting.NOT_AVAILABLE
        self._sending_until_s = 0.0
        self._last_look_s = clock.now_s()
        self._latency_s, self._latency_source = port_facts.latency_of(port)

    @property
    def traits(self) -> LineTraits:
        """What this port carries and reports; a pseudo terminal spends no wire time and carries no parity."""
        is_real = self._nature is port_facts.PortNature.SERIAL_PORT
        return LineTraits(
            carries_speed=True,
            carries_framing=is_real,
            spends_wire_time=is_real,
            mark_reporting=self._marks,
            echo=Echo.NOT_KNOWN if is_real else Echo.NOT_HEARD,
            latency_s=self._latency_s,
            latency_source=self._latency_source,
            settings_change_s=SETTINGS_CHANGE_S,
            is_simulated=False,
        )

    @property
    def settings(self) -> SerialSettings:
        """The settings last applied."""
        return self._settings

    def apply(self, settings: SerialSettings) -> None:
        """Set the port anew, once; nothing if nothing changes."""
        if settings == self._settings:
            return
        self.set_up(settings)

    def set_up(self, settings: SerialSettings) -> None:
        """Set the port, whatever it was set to."""
        wanted = {
            "baudrate": settings.baud_rate,
            "bytesize": settings.data_bits,
            "parity": _PARITIES[settings.parity],
            "stopbits": settings.stop_bits,
        }
        if self._nature is port_facts.PortNature.PSEUDO_TERMINAL:
            # It carries no framing, and asked twice for the same parity the system says EINVAL.
            wanted.update(bytesize=8, parity=serial.PARITY_NONE, stopbits=1)
        try:
            self._serial.apply_settings({**self._serial.get_settings(), **wanted})
            self._marks = set_marks(self._descriptor) if os.name == "posix" else MarkReporting.NOT_AVAILABLE
        except FOREIGN_ERRORS as reason:
            if port_facts.is_gone(reason):
                raise vanished(self._port, reason) from reason
            raise settings_refused(self._port, str(settings)) from reason
        self._decoder.forget()
        self._settings = settings

    def write(self, data: bytes) -> Sent:
        """Hand bytes to the system; say when their last bit will have ended."""
        if not data:
            raise ValueError("nothing to send")
        try:
            self._write_all(data)
        except FOREIGN_ERRORS as reason:
            raise vanished(self._port, reason) from reason
        now_s = self._clock.now_s()
        if self._nature is port_facts.PortNature.PSEUDO_TERMINAL:
            return Sent(now_s, now_s, now_s)
        begin_s = max(now_s, self._sending_until_s)
        end_s = begin_s + len(data) * self._settings.character_s
        self._sending_until_s = end_s
        return Sent(now_s, end_s, end_s + START_UNCERTAINTY_S)

    def _write_all(self, data: bytes) -> None:
        if os.name != "posix":
            self._serial.write(data)
            return
        left = data
        while left:
            try:
                left = left[os.write(self._descriptor, left) :]
            except BlockingIOError:
                select.select([], [self._descriptor], [], 1.0)

    def read(self, until_s: float) -> Arrival | None:
        """Return the next lump, or None at the deadline."""
        try:
            return self._read(until_s)
        except FOREIGN_ERRORS as reason:
            raise vanished(self._port, reason) from reason

    def _read(self, until_s: float) -> Arrival | None:
        while True:
            now_s = self._clock.now_s()
            if self._wait(0.0 if until_s <= now_s else until_s - now_s):
                arrival = self._take()
                if arrival is not None:
                    return arrival
                continue
            now_s = self._clock.now_s()
            if now_s >= until_s:
                self._last_look_s = now_s
                return None

    def _wait(self, seconds: float) -> bool:
        """Return whether something waits; looks at least once."""
        if os.name == "posix":
            began_s = self._clock.now_s()
            ready, _, _ = select.select([self._descriptor], [], [], 0.0)
            if not ready and seconds > 0:
                self._last_look_s = began_s
                ready, _, _ = select.select([self._descriptor], [], [], seconds)
                if ready:
                    # The wait ended because a byte came: until just now there was none.
                    self._last_look_s = self._clock.now_s()
            return bool(ready)
        until_s = self._clock.now_s() + seconds
        while not self._serial.in_waiting:
            self._last_look_s = self._clock.now_s()
            if self._last_look_s >= until_s:
                return False
            time.sleep(POLL_S)
        return True

    def _take(self) -> Arrival | None:
        if os.name == "posix":
            raw = os.read(self._descriptor, MOST_BYTES_A_READ)
            if not raw:
                raise OSError("the port says that bytes wait, and gives none: its adapter was unplugged")
        else:
            raw = self._serial.read(max(1, self._serial.in_waiting))
        now_s = self._clock.now_s()
        marked = self._marks is MarkReporting.PER_BYTE
        decoded = self._decoder.feed(raw) if marked else None
        data, marks = (decoded.data, decoded.marks) if decoded is not None else (raw, ())
        if not data:
            return None
        not_before_s = min(self._last_look_s, now_s) - self._latency_s
        self._last_look_s = now_s
        return Arrival(data, marks, not_before_s, now_s)

    def discard(self) -> tuple[Arrival, ...]:
        """Take all that waits."""
        arrivals: list[Arrival] = []
        while (arrival := self.read(self._clock.now_s())) is not None:
            arrivals.append(arrival)
        return tuple(arrivals)

    def close(self) -> None:
        """Give the port back."""
        try:
            self._serial.close()
        except FOREIGN_ERRORS:
            return


class OpensSerial(Protocol):
    """Opens pyserial's port; handed in so that failures can be tried without hardware."""

    def __call__(self, **settings: Any) -> serial.Serial:
        """Return the open port."""


def open_serial_line(
    port: str,
    settings: SerialSettings,
    options: PortOptions,
    clock: Clock,
    opens: OpensSerial | None = None,
) -> SerialLine:
    """Open a serial port for ourselves alone.

    Raises:
        PortError: Missing, busy, forbidden, not a port, or the settings are refused.
    """
    nature = port_facts.nature_of(port)
    if nature is port_facts.PortNature.PLAIN_FILE:
        raise opening_failed(port, OSError("a plain file"))
    try:
        opened = (opens or serial.Serial)(**_opening_settings(settings, nature), port=port)
    except FOREIGN_ERRORS as reason:
        raise opening_failed(port, reason) from reason
    line = SerialLine(port, opened, clock, nature)
    try:
        _expert(opened, options)
        line.set_up(settings)
        _require_speed(port, opened, settings)
    except PortError:
        line.close()
        raise
    except FOREIGN_ERRORS as reason:
        line.close()
        raise settings_refused(port, f"the direction '{options.direction.value}'") from reason
    return line


def _opening_settings(settings: SerialSettings, nature: port_facts.PortNature) -> dict[str, Any]:
    framing: dict[str, Any] = {"parity": serial.PARITY_NONE, "stopbits": 1, "bytesize": 8}
    if nature is port_facts.PortNature.SERIAL_PORT:
        framing = {
            "parity": _PARITIES[settings.parity],
            "stopbits": settings.stop_bits,
            "bytesize": settings.data_bits,
        }
    exclusive = {"exclusive": True} if os.name == "posix" else {}
    return {"baudrate": settings.baud_rate, "timeout": 0, "write_timeout": 1.0, **framing, **exclusive}


def _expert(opened: serial.Serial, options: PortOptions) -> None:
    if options.direction is Direction.KERNEL:
        from serial.rs485 import RS485Settings

        opened.rs485_mode = RS485Settings()
    if not options.dtr:
        opened.dtr = False
    if not options.rts:
        opened.rts = False
    if options.low_latency and sys.platform == "linux":
        opened.set_low_latency_mode(True)


def _require_speed(port: str, opened: serial.Serial, settings: SerialSettings) -> None:
    """Refuse where the system can be asked and has set another speed."""
    actual = port_facts.speed_set(opened)
    if actual is not None and abs(actual - settings.baud_rate) > settings.baud_rate * 0.02:
        raise settings_refused(port, f"{settings.baud_rate} baud (it sets {actual})")
