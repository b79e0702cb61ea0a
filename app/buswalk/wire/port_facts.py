"""What the system tells of a port before and after opening: its nature and its latency."""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, LatencySource
from buswalk.wire.serial_device import DeviceNature

PSEUDO_TERMINAL_MAJORS = range(136, 144)
"""Device numbers of Unix98 pseudo terminals on Linux (kernel list of devices)."""
MACOS_PSEUDO_TERMINALS = "/dev/ttys"
LATENCY_FILE = "/sys/bus/usb-serial/devices/{name}/latency_timer"


def is_plain_file(port: str) -> bool:
    """Tell whether a name leads to a file or folder; one that leads nowhere does not, and opening it will say so."""
    try:
        mode = Path(port).stat().st_mode
    except (OSError, ValueError):
        return False
    return stat.S_ISREG(mode) or stat.S_ISDIR(mode)


def nature_of(port: str) -> DeviceNature:
    """Return what a port is. To be asked after expert settings that change the latency."""
    if _is_pseudo_terminal_here(port):
        return DeviceNature(is_pseudo_terminal=True, latency_s=0.0, latency_source=LatencySource.EXACT)
    latency_s, source = _asked_latency(port)
    return DeviceNature(is_pseudo_terminal=False, latency_s=latency_s, latency_source=source)


def is_pseudo_terminal(system: str, name: str, major_number: int) -> bool:
    """Tell a pseudo terminal from a serial port by its device number (Linux) or its name (macOS)."""
    if system == "linux":
        return major_number in PSEUDO_TERMINAL_MAJORS
    return system == "darwin" and name.startswith(MACOS_PSEUDO_TERMINALS)


def _is_pseudo_terminal_here(port: str) -> bool:
    if sys.platform == "win32":
        return False
    try:
        path = Path(port).resolve()
        number = path.stat().st_rdev
    except (OSError, ValueError):
        return False
    return is_pseudo_terminal(sys.platform, str(path), os.major(number))


def _asked_latency(port: str) -> tuple[float, LatencySource]:
    try:
        name = Path(port).resolve().name
        return int(Path(LATENCY_FILE.format(name=name)).read_text()) / 1000.0, LatencySource.ASKED
    except (OSError, ValueError):
        return ASSUMED_LATENCY_S, LatencySource.ASSUMED
