"""Opens whatever a port text names on this computer or its network."""

from __future__ import annotations

from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.port_options import PortOptions
from buswalk.wire.rfc2217_line import SCHEME as RFC2217_SCHEME
from buswalk.wire.rfc2217_line import open_rfc2217_line
from buswalk.wire.serial_line import open_serial_line
from buswalk.wire.socket_line import SocketLine, connect

SOCKET_SCHEME = "socket"


def open_wire_line(port: str, settings: SerialSettings, options: PortOptions, clock: Clock) -> Line:
    """Open a serial port by name, `rfc2217://host:port`, or `socket://host:port`.

    Raises:
        PortError: It cannot be had; the sentence says why and what to do.
    """
    if port.startswith(f"{RFC2217_SCHEME}://"):
        return open_rfc2217_line(port, settings, options, clock)
    if port.startswith(f"{SOCKET_SCHEME}://"):
        return SocketLine(port, connect(port, SOCKET_SCHEME, options.connect_timeout_s), settings, clock)
    return open_serial_line(port, settings, options, clock)
