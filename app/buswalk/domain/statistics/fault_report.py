"""All figures of a record in one pass over its events, whatever their number; few abnormal ones are kept."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from buswalk.domain.line_events import ExchangeDone, LateReply, StrayArrival
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS
from buswalk.domain.record_reader import RecordedEvent, RecordedExchange
from buswalk.domain.statistics.counted_exchange import CountedExchange
from buswalk.domain.statistics.device_quality import DeviceQuality, DeviceTally
from buswalk.domain.statistics.fault_filter import FaultKind
from buswalk.domain.statistics.fault_kinds import is_listed
from buswalk.domain.statistics.marked_spans import InsideCounter, MarkedSpan
from buswalk.domain.statistics.outcome_table import NEVER_TRIED, OutcomeRow
from buswalk.domain.statistics.reduction import counted_exchange, was_clean
from buswalk.domain.statistics.two_by_two import TwoByTwo


@dataclass(frozen=True, slots=True)
class FaultWish:
    """What to count.

    Attributes:
        addresses: Of these servers only; empty for all.
        spans: Spans between marks, to be told apart from the rest; empty for none.
        each: Spans that are counted each by itself, over all devices.
        keep: So many of the latest exchanges that were not clean are kept.
        kinds: Of these kinds only those are kept; empty for all.
    """

    addresses: frozenset[int] = frozenset()
    spans: tuple[MarkedSpan, ...] = ()
    keep: int = 10
    each: tuple[MarkedSpan, ...] = ()
    kinds: frozenset[FaultKind] = frozenset()


@dataclass(frozen=True, slots=True)
class InsideTable:
    """Inside and outside of marked spans, of one server.

    Attributes:
        across: Exchanges across an edge, in neither.
    """

    server_address: int
    table: TwoByTwo
    across: int


@dataclass(frozen=True, slots=True)
class FaultReport:
    """What a record shows.

    Attributes:
        devices: By address; nobody answers a broadcast, so that address 0 is not among them.
        inside: By address; empty where no spans were given.
        each: Of each span by itself, over all devices; its `server_address` is 0.
        abnormal: The latest exchanges that were not clean, in order.
        broadcasts: Requests to all.
        strays: Lumps of bytes that came between exchanges.
    """

    devices: tuple[DeviceQuality, ...]
    inside: tuple[InsideTable, ...]
    abnormal: tuple[RecordedExchange, ...]
    broadcasts: int
    strays: int
    each: tuple[InsideTable, ...] = ()


class FaultCounter:
    """Takes the events of a record in their order."""

    def __init__(self, wish: FaultWish, late: Mapping[int, tuple[LateReply, ...]]) -> None:
        self._wish = wish
        self._late = late
        self._tallies: dict[int, DeviceTally] = {}
        self._inside: dict[int, InsideCounter] = {}
        self._abnormal: deque[Callable[[], RecordedExchange]] = deque(maxlen=wish.keep)
        self._each = [InsideCounter((one,)) for one in wish.each]
        self._broadcasts = self._strays = 0

    def take(self, recorded: RecordedEvent) -> None:
        """Take the next one; what is no exchange and no stray byte is passed over."""
        match recorded.event:
            case ExchangeDone(exchange):
                late = self._late.get(exchange.number, ())
                self.take_exchange(RecordedExchange(recorded.row, recorded.session, 0, exchange, late))
            case StrayArrival():
                self.take_strays(1)
            case _:
                pass

    def take_strays(self, count: int) -> None:
        """Take lumps of bytes that came between exchanges."""
        self._strays += count

    def take_exchange(self, recorded: RecordedExchange) -> None:
        """Take the next exchange, its late replies with it."""
        self.take_counted(counted_exchange(recorded), lambda: recorded)

    def take_counted(self, one: CountedExchange, whole: Callable[[], RecordedExchange]) -> None:
        """Take the next exchange, of which no more was read than counting needs; `whole` reads the rest.

        It is called by `report`, of those that are kept only.
        """
        address = one.server_address
        if address == BROADCAST_ADDRESS:
            self._broadcasts += 1
            return
        if self._wish.addresses and address not in self._wish.addresses:
            return
        if address not in self._tallies:
            self._tallies[address] = DeviceTally(address)
            self._inside[address] = InsideCounter(self._wish.spans)
        self._tallies[address].take_counted(one)
        if one.outcome in NEVER_TRIED:
            return
        if is_listed(one, self._wish.kinds):
            self._abnormal.append(whole)
        counters = (*([self._inside[address]] if self._wish.spans else []), *self._each)
        for counter in counters:
            counter.take(one.session, (one.began_s, one.ended_s), is_clean=was_clean(one))

    def rows(self) -> tuple[OutcomeRow, ...]:
        """Return the rows of the table so far, by address: cheap enough to be asked for after each exchange."""
        return tuple(self._tallies[one].row() for one in sorted(self._tallies))

    def report(self) -> FaultReport:
        """Return what was seen so far. What reading the kept exchanges raises comes through."""
        addresses = sorted(self._tallies)
        inside = [InsideTable(one, self._inside[one].table(), self._inside[one].across) for one in addresses]
        return FaultReport(
            tuple(self._tallies[one].quality() for one in addresses),
            tuple(inside) if self._wish.spans else (),
            tuple(whole() for whole in self._abnormal),
            self._broadcasts,
            self._strays,
            tuple(InsideTable(BROADCAST_ADDRESS, one.table(), one.across) for one in self._each),
        )


def late_by_exchange(late: Iterable[LateReply]) -> dict[int, tuple[LateReply, ...]]:
    """Return for each exchange the late replies that can be its."""
    found: dict[int, tuple[LateReply, ...]] = {}
    for one in late:
        for number in one.exchange_numbers:
            found[number] = (*found.get(number, ()), one)
    return found
