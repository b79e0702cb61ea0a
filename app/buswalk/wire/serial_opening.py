"""Opens a serial port through pyserial, with its expert settings, and says in a sentence why it cannot be had."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from serial.tools import list_ports

from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.wire import port_facts
from buswalk.wire.port_errors import FOREIGN_ERRORS, ListsNames, not_a_port, opening_failed, option_refused
from buswalk.wire.serial_device import OneChangeSerial, OpensSerial, SerialDevice

OPENING_BAUD = 9600
"""Every port knows it. The wanted settings are set afterwards, so that a failure to open is never about them."""
WRITTEN_WITHIN_S = 2.0


def listed_names() -> Iterable[str]:
    """Return the names of the ports that the system lists."""
    return tuple(one.device for one in list_ports.comports())


def open_device(port: str, options: PortOptions, listed: ListsNames, opens: OpensSerial | None = None) -> SerialDevice:
    """Return the open port, not yet set to anything wanted.

    Raises:
        PortError: Missing, busy, forbidden, not a port, or an expert setting is not known there.
    """
    if not port.strip():
        raise PortError(port, PortProblem.MISSING, "no port is named: see which ports there are")
    if port_facts.is_plain_file(port):
        raise not_a_port(port)
    opened = (opens or OneChangeSerial)(baudrate=OPENING_BAUD, timeout=0, write_timeout=WRITTEN_WITHIN_S)
    try:
        if sys.platform != "win32":
            opened.exclusive = True
        opened.port = port
        # Said before opening, so that the wires do not first go the other way.
        opened.dtr = options.dtr
        opened.rts = options.rts and options.direction is not Direction.RTS
        opened.open()
    except FOREIGN_ERRORS as reason:
        raise opening_failed(port, reason, listed) from reason
    try:
        _set_options(port, opened, options)
    except PortError:
        opened.close()
        raise
    nature = port_facts.nature_of(port)
    if sys.platform == "win32":
        from buswalk.wire.windows_device import WindowsDevice, clearing

        return WindowsDevice(opened, nature, clearing(opened))
    else:  # noqa: RET505 - so that a type check for Windows skips it
        from buswalk.wire.posix_device import PosixDevice

        return PosixDevice(opened, nature)


def _set_options(port: str, opened: OneChangeSerial, options: PortOptions) -> None:
    try:
        if options.direction is Direction.KERNEL:
            from serial.rs485 import RS485Settings

            opened.rs485_mode = RS485Settings()
        elif options.direction is Direction.RTS:
            opened.rts = False
    except FOREIGN_ERRORS as reason:
        raise option_refused(port, f"the direction '{options.direction.value}'") from reason
    if options.low_latency:
        try:
            if sys.platform != "linux":
                raise ValueError("only Linux has it")
            opened.set_low_latency_mode(True)
        except FOREIGN_ERRORS as reason:
            raise option_refused(port, "handing bytes over at once") from reason
