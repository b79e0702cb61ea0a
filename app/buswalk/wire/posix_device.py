"""A serial port under POSIX: own waiting and reading on the descriptor, so that no property of pyserial is touched."""

from __future__ import annotations

import os
import select
import sys
import time

from buswalk.domain.line.arrival import LineMark
from buswalk.domain.line.line_traits import MarkReporting
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.wire.line_counters import COUNTERS_BYTES, COUNTERS_REQUEST, LineCounters
from buswalk.wire.mark_decoder import MarkDecoder
from buswalk.wire.serial_device import DeviceNature, OneChangeSerial, RefusedSettings, Taken

MOST_BYTES_A_READ = 4096
WRITTEN_WITHIN_S = 2.0
"""A port that takes no byte for so long takes none any more: 256 bytes need 2.3 s at 1200 baud, but the system's
queue holds more than that."""
ALL_COUNTED = frozenset({LineMark.FRAMING_ERROR, LineMark.PARITY_ERROR, LineMark.BREAK, LineMark.OVERRUN})
ONLY_OVERRUN = frozenset({LineMark.OVERRUN})
"""What the marks on bytes do not tell, even where they are given."""

if sys.platform != "win32":
    import contextlib
    import fcntl
    import termios

    from buswalk.wire.linux_terminal import is_known, set_terminal, terminal_state
    from buswalk.wire.posix_marks import MARKING, PLAIN, set_marks

    class PosixDevice:
        """An open port and its descriptor."""

        def __init__(self, opened: OneChangeSerial, nature: DeviceNature) -> None:
            self._serial = opened
            self._nature = nature
            self._descriptor = opened.fileno()
            self._decoder = MarkDecoder()
            self._counters = LineCounters(self._asked_counters)
            self._has_counters = False
            self._marks = MarkReporting.NOT_AVAILABLE
            self._is_linux_terminal = is_known(self._descriptor)
            if not nature.is_pseudo_terminal:
                # Opening again is refused from here on, also to programs that know nothing of file locks.
                with contextlib.suppress(OSError):
                    fcntl.ioctl(self._descriptor, termios.TIOCEXCL)

        @property
        def nature(self) -> DeviceNature:
            """What it is."""
            return self._nature

        def set_up(self, settings: SerialSettings) -> MarkReporting:
            """Set the port. A pseudo terminal has no framing; asked for one it may say EINVAL, so none is asked."""
            is_pseudo = self._nature.is_pseudo_terminal
            wanted = SerialSettings(settings.baud_rate, Parity.NONE, 1) if is_pseudo else settings
            if self._is_linux_terminal:
                set_terminal(self._descriptor, wanted, PLAIN if is_pseudo else MARKING)
                state = terminal_state(self._descriptor)
                has_marks = state.has_marks
                if state.differs_from(wanted):
                    raise RefusedSettings(str(state))
            else:
                self._serial.set_once(wanted)
                # Setting the flags anew would undo a speed that this system sets beside the terminal's own ones.
                has_marks = not is_pseudo and hasattr(termios, f"B{settings.baud_rate}") and set_marks(self._descriptor)
            # What was counted at other settings belongs to no byte that comes from here on.
            self._has_counters = not is_pseudo and self._counters.start()
            self._decoder.forget()
            self._marks = _reporting(has_marks, self._has_counters)
            return self._marks

        def write(self, data: bytes) -> None:
            """Hand over all bytes, waiting for room in the system's queue if there is none."""
            give_up_s = time.monotonic() + WRITTEN_WITHIN_S
            left = data
            while left:
                try:
                    left = left[os.write(self._descriptor, left) :]
                except BlockingIOError:
                    if time.monotonic() >= give_up_s:
                        raise TimeoutError("the port takes no bytes any more") from None
                    select.select([], [self._descriptor], [], 0.05)

        def wait_until_sent(self) -> None:
            """Return when the driver's queue and, on most ports, the sender itself are empty."""
            termios.tcdrain(self._descriptor)

        def drive(self, level: bool) -> None:
            """Set RTS: one call, the rest of the port stays as it is."""
            self._serial.rts = level

        def wait(self, seconds: float) -> bool:
            """Return whether bytes wait."""
            return bool(select.select([self._descriptor], [], [], seconds)[0])

        def take(self) -> Taken:
            """Return what waits.

            Raises:
                OSError: The adapter was unplugged: the system says that bytes wait, and gives none.
            """
            try:
                raw = os.read(self._descriptor, MOST_BYTES_A_READ)
            except BlockingIOError:
                return Taken(b"", ())
            if not raw:
                raise OSError("bytes were said to wait, and there are none")
            if self._marks is not MarkReporting.PER_BYTE:
                return Taken(raw, self._counters.news(ALL_COUNTED) if self._has_counters else ())
            decoded = self._decoder.feed(raw)
            counted = self._counters.news(ONLY_OVERRUN) if self._has_counters else ()
            return Taken(decoded.data, decoded.marks + counted)

        def close(self) -> None:
            """Give it back; also leave to open it is given back, since others may hold the terminal open."""
            if not self._nature.is_pseudo_terminal:
                with contextlib.suppress(OSError):
                    fcntl.ioctl(self._descriptor, termios.TIOCNXCL)
            self._descriptor = -1
            with contextlib.suppress(OSError, termios.error):
                self._serial.close()

        def _asked_counters(self) -> bytes:
            return fcntl.ioctl(self._descriptor, COUNTERS_REQUEST, bytes(COUNTERS_BYTES))


def _reporting(has_marks: bool, has_counters: bool) -> MarkReporting:
    if has_marks:
        return MarkReporting.PER_BYTE
    return MarkReporting.COUNTED if has_counters else MarkReporting.NOT_AVAILABLE
