"""Opens whatever a port text names on this computer or its network."""

from __future__ import annotations

from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.port_errors import option_refused
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
    scheme, separator, _ = port.partition("://")
    if not separator:
        return open_serial_line(port, settings, options, clock)
    if scheme not in (RFC2217_SCHEME, SOCKET_SCHEME):
        sentence = f"'{scheme}' is no kind of port: write {RFC2217_SCHEME}://host:port or {SOCKET_SCHEME}://host:port"
        raise PortError(port, PortProblem.NOT_A_PORT, sentence)
    _refuse_what_no_network_carries(port, options)
    if scheme == RFC2217_SCHEME:
        return open_rfc2217_line(port, settings, options, clock)
    return SocketLine(port, connect(port, SOCKET_SCHEME, options.connect_timeout_s), settings, clock)


def _refuse_what_no_network_carries(port: str, options: PortOptions) -> None:
    """Whoever chose it must not believe that it is done."""
    if options.direction is not Direction.HARDWARE:
        raise option_refused(port, f"the direction '{options.direction.value}'")
    if options.low_latency:
        raise option_refused(port, "handing bytes over at once")
