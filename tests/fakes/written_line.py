"""Guarded writes to one simulated device in virtual time, and what they leave behind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

from buswalk.bus.job_runner import StoppableClock, StoppableLine
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line_events import ExchangeDone, LineEvent
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.registers.point import Access, Between, Point, WriteType
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import INT16
from buswalk.domain.registers.writing.events import ReadBack, WriteEvent, WriteJudged
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace
from buswalk.domain.registers.writing.order import WriteOrder
from buswalk.domain.registers.writing.visit_writes import VisitWrites
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.asking.write_lock import WriteLock
from buswalk.jobs.writing import GuardedWrite, write_and_look
from simulated_line.clocks import VirtualClock
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import EXAMPLE, N81, written_site

SETPOINT = Point(
    name="setpoint",
    table=Table.HOLDING_REGISTERS,
    register_address=0,
    value_type=INT16,
    words="room setpoint",
    scale=Decimal("0.1"),
    unit="°C",
    range=Between(Decimal(5), Decimal(30)),
    decimals=1,
    access=Access.READ_WRITE,
)
WEARING = Point(
    name="stored",
    table=Table.HOLDING_REGISTERS,
    register_address=0,
    access=Access.READ_WRITE,
    write_type=WriteType.EEPROM,
)
REASON = "test of the heating"


def device_site(folder: Path, habits: str = "") -> SimulatedSite:
    """Return a site with server 37 alone, holding 215 and 450 in its first registers, with these habits."""
    return written_site(folder, EXAMPLE + (f"\n[device.habits]\n{habits}\n" if habits else ""))


def to_setpoint(raw: int, point: Point = SETPOINT) -> WriteOrder:
    """Return the order to write a raw value to a point of server 37."""
    return WriteOrder(IntendedWrite(37, N81, KnownPlace(point), (raw,)), REASON)


def to_raw(register_address: int, *words: int, server_address: int = 37) -> WriteOrder:
    """Return the order to write words that no list describes."""
    place = RawPlace(Table.HOLDING_REGISTERS, register_address, len(words))
    return WriteOrder(IntendedWrite(server_address, N81, place, words), REASON)


@dataclass
class WrittenLine:
    """A site with an asker that may do nothing by itself, and a lock that is open unless told otherwise."""

    site: SimulatedSite
    is_unlocked: bool = True
    line_events: list[LineEvent] = field(default_factory=list)
    events: list[WriteEvent] = field(default_factory=list)
    writes: VisitWrites = field(default_factory=VisitWrites)
    on_event: Callable[[WriteEvent], None] = lambda _event: None

    def __post_init__(self) -> None:
        self.clock = VirtualClock(self.site.timeline)
        line = self.site.open_line("demo", N81, self.clock.keep_pace)
        self.real_s = 0.0
        self.lock = WriteLock(lambda: self.real_s)
        if self.is_unlocked:
            self.lock.unlock(REASON)
        self.stop = StopRequest()
        stoppable = StoppableLine(line, self.clock, self.stop)
        self.asker = Asker(stoppable, StoppableClock(self.clock, self.stop), self._keep)

    def _keep(self, event: LineEvent) -> None:
        self.line_events.append(event)

    def write(self, order: WriteOrder) -> list[WriteEvent]:
        """Write and look to the end; return what was said."""
        said: list[WriteEvent] = []
        number = len(self.writes.writes) + 1
        for event in write_and_look(self.asker, GuardedWrite(number, order, self.lock)):
            said.append(event)
            self.events.append(event)
            self.writes = self.writes.after(event)
            self.on_event(event)
        return said

    def register(self, address: int) -> int:
        """What the device truly holds."""
        registers = next(iter(self.site.devices.values())).registers
        return registers.read(list(registers.cells)[2], address, 1, self.clock.now_s())[0]

    @property
    def exchanges(self) -> list[Exchange]:
        """All that were told."""
        return [one.exchange for one in self.line_events if isinstance(one, ExchangeDone)]

    @property
    def requests(self) -> list[bytes]:
        """Every frame that left."""
        return [one.request_adu for one in self.exchanges]


def looks_of(events: list[WriteEvent]) -> list[tuple[float, tuple[int, ...], str]]:
    """Return each look: when, what, verdict."""
    return [(one.after_s, one.words, one.verdict.value) for one in events if isinstance(one, ReadBack)]


def judged_of(events: list[WriteEvent]) -> str:
    """Return the one verdict."""
    (judged,) = [one for one in events if isinstance(one, WriteJudged)]
    return judged.verdict.value
