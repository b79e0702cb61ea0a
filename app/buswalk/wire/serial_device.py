"""The few verbs that `SerialLine` needs of a system's serial port, and pyserial's port that is set anew only once.

One implementation a system: `posix_device`, `windows_device`. They raise what the system raises, and `SerialLine`
translates it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import serial

from buswalk.domain.line.arrival import Mark
from buswalk.domain.line.line_traits import LatencySource, MarkReporting
from buswalk.domain.line.serial_settings import Parity, SerialSettings

PYSERIAL_PARITIES = {
    Parity.NONE: serial.PARITY_NONE,
    Parity.EVEN: serial.PARITY_EVEN,
    Parity.ODD: serial.PARITY_ODD,
}


class RefusedSettings(Exception):
    """The port has set something else than was asked.

    Attributes:
        words: What it has set instead.
    """

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.words = words


@dataclass(frozen=True, slots=True)
class Taken:
    """What one read gave: bytes as they were on the line, and what the system says of them. Both may be empty."""

    data: bytes
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class DeviceNature:
    """What a port is, found when it was opened.

    Attributes:
        is_pseudo_terminal: Bytes pass at once and there is no framing.
        latency_s, latency_source: How late bytes may be handed over, and where that is known from.
    """

    is_pseudo_terminal: bool
    latency_s: float
    latency_source: LatencySource


class SerialDevice(Protocol):
    """An open serial port of this computer."""

    @property
    def nature(self) -> DeviceNature:
        """What it is."""

    def set_up(self, settings: SerialSettings) -> MarkReporting:
        """Set speed and framing in one reconfiguration, and the marks behind it.

        Raises:
            RefusedSettings: The system was asked, and has set something else.
        """

    def write(self, data: bytes) -> None:
        """Hand over all bytes."""

    def wait_until_sent(self) -> None:
        """Return when the system says that all has been sent."""

    def drive(self, level: bool) -> None:
        """Set RTS."""

    def wait(self, seconds: float) -> bool:
        """Return whether bytes wait; at once if they do, else after so long."""

    def take(self) -> Taken:
        """Return what waits, without waiting."""

    def close(self) -> None:
        """Give it back."""


class OpensSerial(Protocol):
    """Makes pyserial's port, closed; handed in so that failures can be tried without hardware."""

    def __call__(self, **settings: Any) -> OneChangeSerial:
        """Return the port."""


class OneChangeSerial(serial.Serial):
    """pyserial's port. It sets the whole port anew at each change of a property: here once for all of them."""

    _is_held = False

    def set_once(self, settings: SerialSettings) -> None:
        """Set speed and framing in one reconfiguration.

        Raises:
            OSError, ValueError, termios.error: The system refuses, or the port is gone.
        """
        self._is_held = True
        try:
            self.baudrate = settings.baud_rate
            self.bytesize = settings.data_bits
            self.parity = PYSERIAL_PARITIES[settings.parity]
            self.stopbits = settings.stop_bits
        finally:
            self._is_held = False
        self._reconfigure_port()

    def _reconfigure_port(self, *arguments: Any, **keywords: Any) -> None:
        if not self._is_held:
            super()._reconfigure_port(*arguments, **keywords)  # type: ignore[misc]
