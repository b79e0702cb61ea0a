"""buswalk for Python users: ports, ask, find, listen, read, watch. No window, no record, the same engine.

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
from dataclasses import dataclass
from types import TracebackType

from buswalk.bus.pace import Pace
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.line_events import LineEvent
from buswalk.domain.listening.events import ListeningEvent
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.request import Request
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import NoSuchProfile
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.read_plan import ALL_POINTS, NamedPoints, ReadPlan, read_plan
from buswalk.domain.registers.samples import Quality, Sample, SamplesTaken
from buswalk.domain.registers.value_words import read_words
from buswalk.domain.search.events import Found, SearchEvent, SearchPlan
from buswalk.domain.search.prior import asked_as, usual_settings
from buswalk.domain.watching.plan import PointsRead, WatchedDevice, WatchPlan
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_guard import GuardRefusal, consents_on
from buswalk.jobs.listening import listen as listening
from buswalk.jobs.reading import read_points
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search
from buswalk.jobs.watching import Watch
from buswalk.lines import OpenedLine, WrongScenario
from buswalk.lines import open_line as opened_line
from buswalk.profile_parts import read_profiles
from buswalk.wire.port_list import PortFacts
from buswalk.wire.port_list import list_ports as listed_ports

__all__ = [
    "Exchange",
    "GuardRefusal",
    "NoSuchProfile",
    "OpenLine",
    "PointValue",
    "PortError",
    "SearchPlan",
    "WrongScenario",
    "list_ports",
    "open_line",
    "profile",
    "quickest_reads",
    "read_holding_registers",
    "read_input_registers",
]

LISTEN_S = 10.0
WATCH_TIMEOUT_S = 0.5


def list_ports() -> tuple[PortFacts, ...]:
    """Return the serial ports of this computer with their adapters, in the order of their names."""
    return listed_ports()


def read_holding_registers(register_address: int, quantity: int) -> Request:
    """Return a request for 1 to 125 holding registers from a 0-based address."""
    return ReadHoldingRegisters(register_address, quantity)


def read_input_registers(register_address: int, quantity: int) -> Request:
    """Return a request for 1 to 125 input registers from a 0-based address."""
    return ReadInputRegisters(register_address, quantity)


def profile(name: str) -> RegisterProfile:
    """Return a register profile by its name or title: one of the user's own, or a shipped one.

    Raises:
        NoSuchProfile: There is none; its `sentence` names the nearest.
    """
    return read_profiles().named(name)


def quickest_reads(
    profile: RegisterProfile, baud: int, framing: str, turnaround_s: float, points: Iterable[str] = ()
) -> ReadPlan:
    """Return the requests that read points in the fewest seconds; without names all that a read does not change.

    A slow device makes requests dear, so that fewer of them read more:

        >>> from buswalk import api
        >>> for turnaround_s in (0.001, 0.5):
        ...     plan = api.quickest_reads(api.profile("io-controller-p"), 9600, "8N1", turnaround_s)
        ...     print(len(plan.blocks), "requests")
        7 requests
        5 requests
    """
    character_s = SerialSettings.of(baud, framing).character_s
    silence_s = inter_frame_delay_s(SerialSettings.of(baud, framing))
    names = tuple(points)
    costs = ReadCosts(character_s, turnaround_s + silence_s)
    return read_plan(profile, NamedPoints(names) if names else ALL_POINTS, costs)


@dataclass(frozen=True, slots=True)
class PointValue:
    """One look at one point.

    Attributes:
        sample: Its words as they came, the number that is plotted, and how far it can be trusted.
        words: The value with its unit; empty where there was no reply.
        at_s: When the reply began, line time.
    """

    point: Point
    sample: Sample
    words: str
    at_s: float

    @property
    def quality(self) -> Quality:
        """How far it can be trusted."""
        return self.sample.quality


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

    def read(
        self, server_address: int, profile: RegisterProfile, points: Iterable[str] = (), timeout_s: float = 1.0
    ) -> tuple[PointValue, ...]:
        """Read points of a device once, at the speed and framing of the line; without names all that a read does not
        change.

            >>> from buswalk import api
            >>> profile = api.profile("air-transmitter")
            >>> with api.open_line("demo:greenhouse", 9600, "8N1", virtual=True) as line:
            ...     for one in line.read(21, profile, ["temperature_correction", "lamp"]):
            ...         print(one.point.name, one.words, one.quality.value)
            temperature_correction 0.0 K good
            lamp 1 = on good

        Raises:
            ValueError: The profile has no such point, or nothing to read.
            PortError: The port was lost.
        """
        device = self._device(server_address, profile, tuple(points), timeout_s)
        return tuple(_values(read_points(self._asker, device), profile))

    def watch(
        self,
        server_address: int,
        profile: RegisterProfile,
        points: Iterable[str] = (),
        *,
        seconds: float,
        period_s: float = 0.0,
    ) -> Iterator[PointValue]:
        """Yield points of a device again and again; without a period as often as it goes. Nobody else may ask there.

            >>> from buswalk import api
            >>> profile = api.profile("air-transmitter")
            >>> with api.open_line("demo:greenhouse", 9600, "8N1", virtual=True) as line:
            ...     watched = list(line.watch(21, profile, ["air_temperature"], seconds=11.0, period_s=5.0))
            >>> [round(one.at_s) for one in watched], {one.point.unit for one in watched}
            ([0, 5, 10], {'°C'})

        Raises:
            ValueError: The profile has no such point, or nothing to read.
            PortError: The port was lost.
        """
        device = self._device(server_address, profile, tuple(points), WATCH_TIMEOUT_S)
        until_s = self._asker.clock.now_s() + seconds
        plan = WatchPlan((device,), period_s, listen_s=0.0)
        watch = Watch(self._asker, self._evidence, plan, lambda: self._asker.clock.now_s() >= until_s)
        yield from _values(watch.run(), profile)

    def _device(
        self, server_address: int, profile: RegisterProfile, points: tuple[str, ...], timeout_s: float
    ) -> WatchedDevice:
        usual = tuple(one.name for one in profile.points if one.can_be_read and not one.clears_on_read)
        reading = PointsRead(profile, points or usual)
        gap_s = profile.rules.minimum_gap_s
        harmless = ReadHoldingRegisters(0, 1)
        return WatchedDevice(server_address, self._asker.settings, harmless, timeout_s, gap_s, reading)

    def close(self) -> None:
        """Give the port back."""
        self._opened.line.close()

    def _take(self, event: LineEvent) -> None:
        self._events.append(event)
        self._evidence(event)


def _values(events: Iterable[object], profile: RegisterProfile) -> Iterator[PointValue]:
    for event in events:
        if isinstance(event, SamplesTaken):
            for one in event.samples:
                point = profile.point(one.point)
                yield PointValue(point, one, read_words(point, one.words) if one.words else "", event.at_s)


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
