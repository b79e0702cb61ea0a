"""pyserial's port with its ways to the system replaced: keeps what it was told, in order, and works on a descriptor."""

from __future__ import annotations

import os
from typing import Any

import serial

from buswalk.wire.serial_device import OneChangeSerial


class TellingSerial(serial.Serial):
    """Keeps every change in `done`. Opening leads to `descriptor`, whatever the name."""

    def __init__(self, descriptor: int, done: list[str], **settings: Any) -> None:
        self._done = done
        self._given = descriptor
        super().__init__(**settings)

    def open(self) -> None:
        """Open, with what is wanted of it by then."""
        self._done.append(f"open {self.port}, exclusive {self.exclusive}, dtr {self.dtr}, rts {self.rts}")
        self.fd = os.dup(self._given)
        self.is_open = True

    def close(self) -> None:
        """Give the copy back."""
        if self.is_open and self.fd is not None:
            self._done.append("close")
            os.close(self.fd)
            self.is_open = False

    def _reconfigure_port(self, *_: Any, **__: Any) -> None:
        if self.is_open:
            by_kernel = "" if self.rs485_mode is None else ", direction by the kernel"
            self._done.append(f"set {self.baudrate} {self.bytesize}{self.parity}{self.stopbits}{by_kernel}")

    def _update_rts_state(self) -> None:
        self._done.append(f"rts {self.rts}")


class KnownSerial(OneChangeSerial, TellingSerial):
    """The port of the program over the one that tells: what is held back there does not reach it."""
