"""buswalk for Python users: list ports, open a line, ask, find, listen. No window, no record, the same engine.

    >>> from buswalk import api
    >>> all(port.port for port in api.list_ports())
    True
    >>> with api.open_line("demo:greenhouse", 9600, "8N1", virtual=True) as line:
    ...     exchange = line.ask(21, api.read_input_registers(0, 2))
    ...     found = [one.server_address for one in line.find(addresses=range(20, 25), alone=True)]
    >>> type(exchange.outcome).__name__
    'NormalReply'
    >>> len(exchange.outcome.reply.values)
    2
    >>> sorted(found)
    [21, 22, 23, 24]

Nothing is sent while listening; the last event is the verdict:

    >>> with api.open_line("demo:another-client", 9600, "8N1", virtual=True) as line:
    ...     *heard, ended = line.listen(3.0)
    >>> ended.verdict.value, [frame.server_address for frame in ended.frames]
    ('traffic', [37, 37, 37, 37, 37, 37, 37, 37])

What cannot be opened says why:

    >>> api.open_line("no-such-port", 9600, "8N1")
    Traceback (most recent call last):
    buswalk.domain.line.port_error.PortError: there is no port no-such-port: ...

Only reads leave on a real line: a write raises `GuardRefusal`. On `demo:` and `sim:` lines writing is possible.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from types import TracebackType

from buswalk.bus.pace import Pace
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LineEvent
from buswalk.domain.listening.events import ListeningEvent
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.request import Request
from buswalk.domain.search.events import Found, SearchEvent, SearchPlan
from buswalk.domain.search.prior import asked_as, usual_settings
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_guard import GuardRefusal, consents_on
from buswalk.jobs.listening import listen as listening
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search
from buswalk.lines import OpenedLine, WrongScenario
from buswalk.lines import open_line as opened_line
from buswalk.wire.port_list import PortFacts
from buswalk.wire.port_list import list_ports as listed_ports

__all__ = [
    "Exchange",
    "GuardRefusal",
    "OpenLine",
    "PortError",
    "SearchPlan",
    "WrongScenario",
    "list_ports",
    "open_line",
    "read_holding_registers",
    "read_input_registers",
]

LISTEN_S = 10.0


def list_ports() -> tuple[PortFacts, ...]:
    """Return the serial ports of this computer with their adapters, in the order of their names."""
    return listed_ports()


def read_holding_registers(register_address: int, quantity: int) -> Request:
    """Return a request for 1 to 125 holding registers from a 0-based address."""
    return ReadHoldingRegisters(register_address, quantity)


def read_input_registers(register_address: int, quantity: int) -> Request:
    """Return a request for 1 to 125 input registers from a 0-based address."""
    return ReadInputRegisters(register_address, quantity)


class OpenLine:
    """An open line; to be closed, best by `with`."""

    def __init__(self, opened: OpenedLine) -> None:
        self._opened = opened
        self._evidence = Evidence()
        self._events: list[LineEvent] = []
        self._asker = Asker(opened.line, opened.clock, self._take, consents_on(opened.line.traits))

    def __enter__(self) -> OpenLine:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def traits(self) -> LineTraits:
        """What this port carries and reports."""
        return self._asker.traits

    @property
    def events(self) -> tuple[LineEvent, ...]:
        """Everything that happened on the line so far: exchanges, stray bytes, late replies."""
        return tuple(self._events)

    def ask(self, server_address: int, request: Request, timeout_s: float = 1.0) -> Exchange:
        """Send one request and return what came of it.

        Raises:
            GuardRefusal: It would write, and the line is a real one.
            PortError: The port was lost.
        """
        return self._asker.ask(server_address, request, AskTiming(timeout_s))

    def search_events(self, plan: SearchPlan) -> Iterator[SearchEvent]:
        """Yield every event of a search.

        Raises:
            PortError: The port was lost.
        """
        yield from Search(self._asker, self._evidence, plan).run()

    def find(
        self,
        addresses: Iterable[int] = range(1, 248),
        settings: Iterable[SerialSettings] = (),
        *,
        alone: bool = False,
        live_line: bool = False,
    ) -> Iterator[Found]:
        """Yield the devices that answer; a line where somebody is alive yields none unless `live_line`.

        Raises:
            PortError: The port was lost.
        """
        usual = usual_settings()
        chosen = {asked_as(one): usual.get(asked_as(one), 0.01) for one in settings} or usual
        plan = SearchPlan(
            tuple(addresses), chosen, listen_s=0.0 if alone else LISTEN_S, may_probe_living_line=live_line
        )
        yield from (event for event in self.search_events(plan) if isinstance(event, Found))

    def listen(self, seconds: float) -> Iterator[ListeningEvent]:
        """Yield what comes without sending one byte, then the verdict.

        Raises:
            PortError: The port was lost.
        """
        yield from listening(self._opened.line, self._opened.clock, seconds)

    def close(self) -> None:
        """Give the port back."""
        self._opened.line.close()

    def _take(self, event: LineEvent) -> None:
        self._events.append(event)
        self._evidence(event)


def open_line(port: str, baud: int, framing: str, *, virtual: bool = False) -> OpenLine:
    """Open a serial port, `rfc2217://host:port`, `socket://host:port`, `demo:NAME` or `sim:FILE`.

    `virtual` lets the time of a simulated line jump, so that hours pass in seconds.

    Raises:
        ValueError: Speed or framing cannot be.
        PortError: The port cannot be had; its `sentence` says why and what to do.
        WrongScenario: The scenario of a simulated line cannot be used; `problems` say where and why.
    """
    settings = SerialSettings.of(baud, framing)
    return OpenLine(opened_line(port, settings, PortOptions(), Pace.VIRTUAL if virtual else Pace.PACED))
