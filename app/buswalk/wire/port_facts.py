"""What the system tells of a port before and after opening: its nature, its latency, its speed."""

from __future__ import annotations

import errno
import os
import stat
import sys
from enum import Enum
from pathlib import Path

import serial

from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, LatencySource

PSEUDO_TERMINAL_MAJORS = range(136, 144)
"""Device numbers of Unix98 pseudo terminals on Linux (kernel list of devices)."""
LATENCY_FILE = "/sys/bus/usb-serial/devices/{name}/latency_timer"


class PortNature(Enum):
    """What stands behind a name."""

    SERIAL_PORT = "serial_port"
    PSEUDO_TERMINAL = "pseudo_terminal"
    PLAIN_FILE = "plain_file"


def nature_of(port: str) -> PortNature:
    """Return what a name leads to; a name that leads nowhere counts as a port, and opening it will say so."""
    try:
        facts = Path(port).stat()
    except OSError:
        return PortNature.SERIAL_PORT
    if stat.S_ISREG(facts.st_mode) or stat.S_ISDIR(facts.st_mode):
        return PortNature.PLAIN_FILE
    is_pseudo = sys.platform == "linux" and os.major(facts.st_rdev) in PSEUDO_TERMINAL_MAJORS
    return PortNature.PSEUDO_TERMINAL if is_pseudo else PortNature.SERIAL_PORT


def latency_of(port: str) -> tuple[float, LatencySource]:
    """Return how late bytes may be handed over: nothing on a pseudo terminal, asked of the system, or assumed."""
    if nature_of(port) is PortNature.PSEUDO_TERMINAL:
        return 0.0, LatencySource.ASKED
    name = Path(port).resolve().name
    try:
        return int(Path(LATENCY_FILE.format(name=name)).read_text()) / 1000.0, LatencySource.ASKED
    except (OSError, ValueError):
        return ASSUMED_LATENCY_S, LatencySource.ASSUMED


def is_gone(reason: BaseException) -> bool:
    """Tell whether an error means that the adapter was unplugged."""
    number = reason.args[0] if reason.args else None
    return number in (errno.EIO, errno.ENXIO, errno.ENODEV, errno.EBADF)


def speed_set(opened: serial.Serial) -> int | None:
    """Return the speed that the system says it has set, or None where it cannot be asked."""
    if sys.platform == "win32":
        return None
    import termios

    speeds = {getattr(termios, name): int(name[1:]) for name in dir(termios) if name[0] == "B" and name[1:].isdigit()}
    return speeds.get(termios.tcgetattr(opened.fileno())[5])
