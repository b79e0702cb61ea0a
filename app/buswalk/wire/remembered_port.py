"""A port as the user named it, found again by its adapter: numbers change with the socket and at each plugging in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.opening import open_wire_line
from buswalk.wire.port_errors import bare_windows_name, is_windows_name
from buswalk.wire.port_list import AdapterIdentity, PortFacts, list_ports, port_of_adapter

Opens = Callable[[str, SerialSettings, PortOptions, Clock], Line]
ListsPorts = Callable[[], tuple[PortFacts, ...]]


class RememberedPort:
    """Opens a port, the first time by its name, later where its adapter is then."""

    def __init__(
        self,
        port: str,
        options: PortOptions,
        clock: Clock,
        lists: ListsPorts = list_ports,
        opens: Opens = open_wire_line,
    ) -> None:
        self._port = port
        self._options = options
        self._clock = clock
        self._lists = lists
        self._opens = opens
        self._adapter: AdapterIdentity | None = None

    def open(self, settings: SerialSettings) -> Line:
        """Open it.

        Raises:
            PortError: It cannot be had, or its adapter is not plugged in: another one under the same name is not it.
        """
        # Listed before and never while opening: some systems then fail to open.
        ports = () if "://" in self._port else self._lists()
        name = self._port if self._adapter is None else port_of_adapter(self._adapter, ports)
        if name is None:
            sentence = f"the adapter that was {self._port} is not plugged in: plug it in again"
            raise PortError(self._port, PortProblem.MISSING, sentence)
        line = self._opens(name, settings, self._options, self._clock)
        if self._adapter is None:
            self._adapter = adapter_at(name, ports)
        return line


def adapter_at(port: str, ports: Sequence[PortFacts]) -> AdapterIdentity | None:
    """Return which USB adapter a name leads to, by way of links too; None for a port that is on no USB."""
    names = {bare_windows_name(port)} if is_windows_name(port) else {port, _behind_links(port)}
    found = (facts.identity for facts in ports if facts.port in names)
    return next((identity for identity in found if identity.vendor_id), None)


def _behind_links(port: str) -> str:
    try:
        return str(Path(port).resolve())
    except (OSError, ValueError, RuntimeError):
        return port
