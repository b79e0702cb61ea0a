"""A pseudo terminal as the computer's end (POSIX). Speed is followed; parity cannot be seen, so any is taken."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from pathlib import Path
from typing import Any

from buswalk.domain.line.arrival import Mark
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.attachments.outbox import Outbox
from simulated_line.attachments.peer import Act, ApplySpeed, Send

if sys.platform != "win32":
    import fcntl
    import termios
    import tty

MOST_BYTES_A_READ = 4096
EXTPROC = 0o200_000
"""With it, a terminal in packet mode tells of each change of settings at once (Linux, ioctl_tty(2), TIOCPKT)."""


class PseudoTerminal:
    """Both ends of one; the program opens `name`.

    Raises:
        OSError: This system has no pseudo terminals, or `link` cannot be made.
    """

    def __init__(self, usual: SerialSettings, link: Path | None) -> None:
        if sys.platform == "win32":
            raise OSError("there are no pseudo terminals on this system: serve over the network in place of it")
        self._usual = usual
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self._tells_changes = _make_telling(self._master, self._slave)
        self._outbox = Outbox(self._write)
        self._link = link
        if link is not None:
            try:
                _make_link(link, self.device)
            except OSError:
                self._close_both()
                raise

    @property
    def carries_framing(self) -> bool:
        """The kernel keeps no parity for a pseudo terminal."""
        return False

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

    def acts(self) -> tuple[Act, ...]:
        """Return the speed set now, then what the program has written."""
        self._leave_a_flag_to_set()
        self._outbox.push()
        data = self._read()
        speed = ApplySpeed(self.settings().baud_rate)
        return (speed, Send(data)) if data else (speed,)

    def settings(self) -> SerialSettings:
        """Return the program's speed, with the usual framing of the scenario."""
        attributes = self._leave_a_flag_to_set()
        usual = self._usual
        with contextlib.suppress(ValueError):  # a speed that no UART has is not taken
            baud_rate = _baud_rate(self._slave, attributes[5])
            self._usual = SerialSettings(baud_rate, usual.parity, usual.stop_bits, usual.data_bits)
        return self._usual

    def deliver(self, data: bytes, marks: tuple[Mark, ...]) -> None:  # noqa: ARG002 - it has no way to mark
        """Write to the program's end; what it does not read in time is lost, as on a real port."""
        self._outbox.put(data)

    def close(self) -> None:
        """Take it away, and the link if it is still ours."""
        link = self._link
        if link is not None and link.is_symlink() and str(link.readlink()) == self.device:
            link.unlink()
        self._close_both()

    def _leave_a_flag_to_set(self) -> list[Any]:
        """Return how the terminal is set.

        A program that asks for parity, which the kernel drops, is told EINVAL if nothing else changes by it. So a flag
        that programs set is taken away again at once; one that sets twice within some 0.1 ms can still be told so.
        """
        attributes = termios.tcgetattr(self._slave)
        if attributes[2] & termios.CLOCAL:
            attributes[2] &= ~termios.CLOCAL
            termios.tcsetattr(self._slave, termios.TCSANOW, attributes)
        return attributes

    def _read(self) -> bytes:
        data = b""
        while piece := self._read_piece():
            if not self._tells_changes:
                data += piece
            elif piece[0] == termios.TIOCPKT_DATA:
                data += piece[1:]
        return data

    def _read_piece(self) -> bytes:
        try:
            return os.read(self._master, MOST_BYTES_A_READ)
        except BlockingIOError:
            return b""
        except OSError as reason:
            if reason.errno == errno.EIO:
                return b""
            raise

    def _write(self, data: bytes) -> int:
        with contextlib.suppress(BlockingIOError):
            return os.write(self._master, data)
        return 0

    def _close_both(self) -> None:
        os.close(self._master)
        os.close(self._slave)


def _make_telling(master: int, slave: int) -> bool:
    """Have the kernel wake us at each change of settings; False where it cannot: there we see it when we look."""
    if sys.platform != "linux":
        return False
    fcntl.ioctl(master, termios.TIOCPKT, (1).to_bytes(4, sys.byteorder))
    attributes = termios.tcgetattr(slave)
    attributes[3] |= EXTPROC
    termios.tcsetattr(slave, termios.TCSANOW, attributes)
    return True


def _make_link(link: Path, device: str) -> None:
    """Point a link to the device; one left by an earlier run is replaced, anything else is not."""
    if link.is_symlink():
        link.unlink()
    elif link.exists():
        raise FileExistsError(f"{link} exists and is no link: choose another name for --link, or move it away")
    link.symlink_to(device)


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
