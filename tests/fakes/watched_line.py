"""A line watch over a simulated site in virtual time, and beside it what truly came, told without its help."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.protocols import Line
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, LateReply, LineEvent
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.statistics.device_quality import DeviceQuality, DeviceTally
from buswalk.domain.watching.events import WatchEvent
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.watching import watch
from simulated_line.clocks import VirtualClock
from simulated_line.reference_codec.check_sum import closed
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import N81

READ = ReadHoldingRegisters(0, 1)
EXAMPLE_REPLY = closed(bytes.fromhex("25 03 02 00 D7"))
"""215 from server 37."""


@dataclass
class Asked:
    """One request as the port saw it, and all bytes that it handed over until the next one."""

    request: bytes
    sent: Sent
    came: bytes = b""
    first_s: float = 0.0


class CountingLine:
    """Passes everything on, keeps requests with what came, and stops the job before one request too many."""

    def __init__(self, line: Line, most: int) -> None:
        self._line = line
        self._most = most
        self.asked: list[Asked] = []

    @property
    def traits(self) -> LineTraits:
        """Those of the line."""
        return self._line.traits

    @property
    def settings(self) -> SerialSettings:
        """Those of the line."""
        return self._line.settings

    def apply(self, settings: SerialSettings) -> None:
        """Pass on."""
        self._line.apply(settings)

    def write(self, data: bytes) -> Sent:
        """Pass on, and keep; raises Stopped when it was enough."""
        if len(self.asked) >= self._most:
            raise Stopped
        sent = self._line.write(data)
        self.asked.append(Asked(data, sent))
        return sent

    def read(self, until_s: float) -> Arrival | None:
        """Pass on, and keep."""
        arrival = self._line.read(until_s)
        if arrival is not None:
            self._keep(arrival)
        return arrival

    def discard(self) -> tuple[Arrival, ...]:
        """Pass on, and keep."""
        arrivals = self._line.discard()
        for arrival in arrivals:
            self._keep(arrival)
        return arrivals

    def _keep(self, arrival: Arrival) -> None:
        if self.asked:
            last = self.asked[-1]
            last.first_s = last.first_s or arrival.not_after_s
            last.came += arrival.data

    def close(self) -> None:
        """Pass on."""
        self._line.close()


@dataclass
class WatchedLine:
    """A watch of so many exchanges, run at once."""

    site: SimulatedSite
    plan: WatchPlan
    most: int
    line_events: list[LineEvent] = field(default_factory=list)
    events: list[WatchEvent] = field(default_factory=list)

    def __post_init__(self) -> None:
        clock = VirtualClock(self.site.timeline)
        opened = self.site.open_line("demo", self.plan.devices[0].settings, clock.keep_pace)
        self.line = CountingLine(opened, self.most)
        evidence = Evidence()

        def take(event: LineEvent) -> None:
            self.line_events.append(event)
            evidence(event)

        try:
            for event in watch(Asker(self.line, clock, take), evidence, self.plan):
                self.events.append(event)
        except Stopped:
            pass

    @property
    def exchanges(self) -> list[Exchange]:
        """All that were told, in order."""
        return [one.exchange for one in self.line_events if isinstance(one, ExchangeDone)]

    @property
    def late(self) -> list[LateReply]:
        """Late replies, in order."""
        return [one for one in self.line_events if isinstance(one, LateReply)]

    def recorded(self) -> Iterator[RecordedExchange]:
        """Return the exchanges as a record has them, all of session 1."""
        for row, exchange in enumerate(self.exchanges, start=1):
            late = tuple(one for one in self.late if exchange.number in one.exchange_numbers)
            yield RecordedExchange(row, 1, 1, exchange, late)

    def quality(self, server_address: int) -> DeviceQuality:
        """Return the figures of one server."""
        tally = DeviceTally(server_address)
        for one in self.recorded():
            if one.exchange.server_address == server_address:
                tally.take(one)
        return tally.quality()

    def truth(self, reply: bytes) -> Counter[str]:
        """Return what came, by comparing bytes with the one right reply."""
        return Counter(_truth(one.came, reply) for one in self.line.asked)


def _truth(came: bytes, reply: bytes) -> str:
    if came == reply:
        return "clean"
    if not came:
        return "nothing"
    if reply in came:
        return "clean among other bytes"
    return "shorter" if len(came) < len(reply) else "other bytes"


def example_plan(wait_s: float = 0.5, share: float = 1.0, period_s: float = 0.0) -> WatchPlan:
    """Return a plan for server 37 of the fault scenarios, which is alone on its line."""
    return WatchPlan((WatchedDevice(37, N81, READ, wait_s),), period_s, share, listen_s=0.0)
