"""A pseudo terminal as the computer's end (POSIX). Speed is followed; parity cannot be seen, so any is taken."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from pathlib import Path

from buswalk.domain.line.arrival import Mark
from buswalk.domain.line.serial_settings import SerialSettings

if sys.platform != "win32":
    import fcntl
    import termios
    import tty

MOST_BYTES_A_READ = 4096


class PseudoTerminal:
    """Both ends of one; the program opens `name`.

    Raises:
        OSError: This system has no pseudo terminals, or `link` cannot be made.
    """

    def __init__(self, framing: SerialSettings, link: Path | None) -> None:
        if sys.platform == "win32":
            raise OSError("there are no pseudo terminals on this system: serve over the network in place of it")
        self._framing = framing
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self._link = link
        if link is not None:
            with contextlib.suppress(FileNotFoundError):
                if link.is_symlink():
                    link.unlink()
            link.symlink_to(self.device)

    @property
    def device(self) -> str:
        """Device file of the program's end."""
        return os.ttyname(self._slave)

    @property
    def name(self) -> str:
        """What to open: the link if there is one."""
        return str(self._link) if self._link is not None else self.device

    def descriptors(self) -> list[int]:
        """The master."""
        return [self._master]

    def incoming(self) -> bytes:
        """Return what the program has written."""
        try:
            return os.read(self._master, MOST_BYTES_A_READ)
        except BlockingIOError:
            return b""
        except OSError as reason:
            if reason.errno == errno.EIO:
                return b""
            raise

    def settings(self) -> SerialSettings:
        """Return the program's speed, with the framing that the line is told to have."""
        attributes = termios.tcgetattr(self._slave)
        if attributes[2] & termios.CLOCAL:
            # With a flag always left to set, the next program that asks for parity is not told EINVAL.
            attributes[2] &= ~termios.CLOCAL
            termios.tcsetattr(self._slave, termios.TCSANOW, attributes)
        baud_rate = _baud_rate(self._slave, attributes[5])
        return SerialSettings(baud_rate, self._framing.parity, self._framing.stop_bits, self._framing.data_bits)

    def deliver(self, data: bytes, marks: tuple[Mark, ...]) -> None:  # noqa: ARG002 - it has no way to mark
        """Write to the program's end; what it does not read in time is lost, as on a real port."""
        with contextlib.suppress(BlockingIOError):
            os.write(self._master, data)

    def close(self) -> None:
        """Take it away, and the link."""
        os.close(self._master)
        os.close(self._slave)
        if self._link is not None and self._link.is_symlink():
            self._link.unlink()


def _baud_rate(descriptor: int, code: int) -> int:
    """Return the speed in baud; a custom one stands in the kernel's second structure (Linux)."""
    for name in dir(termios):
        if name[0] == "B" and name[1:].isdigit() and getattr(termios, name) == code and int(name[1:]):
            return int(name[1:])
    if sys.platform == "linux":
        answer = bytearray(44)
        fcntl.ioctl(descriptor, 0x802C542A, answer)
        return int.from_bytes(answer[40:44], sys.byteorder) or 9600
    return 9600
