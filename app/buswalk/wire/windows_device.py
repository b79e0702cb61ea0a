"""A serial port under Windows: looked at in short steps, its error flags kept. Written without a Windows at hand."""

from __future__ import annotations

import contextlib
import sys
import time
from typing import Protocol

from buswalk.domain.line.line_traits import MarkReporting
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.comm_flags import Clear, FlagKeeper
from buswalk.wire.serial_device import DeviceNature, OneChangeSerial, Taken

STEP_S = 0.0005
"""Here the system cannot wait for bytes and a deadline at once without losing error flags: it is looked at so often."""


class ReadsAndWrites(Protocol):
    """What is used of pyserial's port here; its timeout is 0, so that no read waits."""

    rts: bool

    def read(self, size: int = 1) -> bytes:
        """Return what waits, so many bytes at most."""

    def write(self, data: bytes, /) -> int | None:
        """Hand over bytes; returns when the driver has taken them."""

    def flush(self) -> None:
        """Return when all has been sent."""

    def set_once(self, settings: SerialSettings) -> None:
        """Set speed and framing in one reconfiguration."""

    def close(self) -> None:
        """Give the port back."""


class WindowsDevice:
    """An open port, and the function that asks and clears its error flags."""

    def __init__(self, opened: ReadsAndWrites, nature: DeviceNature, clear: Clear) -> None:
        self._serial = opened
        self._nature = nature
        self._flags = FlagKeeper(clear)

    @property
    def nature(self) -> DeviceNature:
        """What it is."""
        return self._nature

    def set_up(self, settings: SerialSettings) -> MarkReporting:
        """Set the port. Which speed it has really set cannot be asked here."""
        self._serial.set_once(settings)
        # What was flagged at other settings belongs to no byte that comes from here on.
        self._flags.forget()
        return MarkReporting.COUNTED

    def write(self, data: bytes) -> None:
        """Hand over all bytes."""
        self._serial.write(data)

    def wait_until_sent(self) -> None:
        """Return when the system says that all has been sent."""
        self._serial.flush()

    def drive(self, level: bool) -> None:
        """Set RTS."""
        self._serial.rts = level

    def wait(self, seconds: float) -> bool:
        """Return whether bytes wait; looks once at least."""
        until_s = time.perf_counter() + seconds
        while not self._flags.waiting():
            left_s = until_s - time.perf_counter()
            if left_s <= 0:
                return False
            time.sleep(min(STEP_S, left_s))
        return True

    def take(self) -> Taken:
        """Return what waits, and the errors seen since the last time: at which bytes is not told.

        pyserial looks once more before it reads and drops what it sees: an error of those microseconds is lost.
        """
        data = self._serial.read(max(1, self._flags.waiting()))
        return Taken(data, self._flags.take())

    def close(self) -> None:
        """Give it back."""
        with contextlib.suppress(OSError):
            self._serial.close()


if sys.platform == "win32":

    def clearing(opened: OneChangeSerial) -> Clear:
        """Return the function that asks the system for error flags and waiting bytes, and clears the flags."""
        import ctypes
        from ctypes import wintypes

        from serial import win32

        # pyserial keeps the handle to itself, and each look of its own drops the flags.
        handle = getattr(opened, "_port_handle")  # noqa: B009 - no stub knows it

        def clear() -> tuple[int, int]:
            flags, state = wintypes.DWORD(), win32.COMSTAT()
            if not win32.ClearCommError(handle, ctypes.byref(flags), ctypes.byref(state)):
                raise ctypes.WinError()
            return int(flags.value), int(state.cbInQue)

        return clear
