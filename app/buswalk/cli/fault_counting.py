"""Counts a record exchange by exchange, whatever its size; around damage what can be read is counted."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from buswalk.cli.fault_filter_options import Looked
from buswalk.domain.line_events import ExchangeDone, LateReply
from buswalk.domain.record_export import Unreadable, events_around_damage
from buswalk.domain.record_faults import AbnormalPage
from buswalk.domain.record_reader import RecordedEvent, RecordedExchange, RecordReader
from buswalk.domain.statistics.counted_exchange import CountedExchange
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.statistics.fault_report import FaultCounter, FaultReport, FaultWish, late_by_exchange
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.marks import Mark, current_marks
from buswalk.domain.visit.recorder import RecordProblem

NUMBERS_AT_ONCE = 1_000
LISTED_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Listed:
    """So many of the latest abnormal exchanges are kept, and these spans are counted each by itself."""

    keep: int
    each: tuple[MarkedSpan, ...] = ()


def _nothing_told(_number: int) -> None:
    """Nobody looks on."""


def counted_report(
    reader: RecordReader,
    looked: Looked,
    listed: Listed,
    unreadable: Unreadable,
    told: Callable[[int], None] = _nothing_told,
) -> FaultReport:
    """Return what the record shows. Stray bytes between exchanges are of no device: under a filter they are left out.

    `told` gets the number of each exchange that was looked at.

    Raises:
        RecordProblem: Not even the number of exchanges can be read.
    """
    wanted = looked.wanted
    wish = FaultWish(wanted.addresses, looked.spans, listed.keep, listed.each, wanted.kinds)
    if wanted.is_of_devices_only:
        counting = _Counting(reader, wish, _late_replies(reader, unreadable), told)
        _count_rows(counting, unreadable)
    else:
        counting = _Counting(reader, wish, (), told)
        _count_fitting(counting, wanted, unreadable)
    return counting.counter.report()


class _Counting:
    """Hands exchanges to a counter, reduced ones and such as had to be read one by one."""

    def __init__(
        self, reader: RecordReader, wish: FaultWish, late: tuple[LateReply, ...], told: Callable[[int], None]
    ) -> None:
        self.reader = reader
        self.counter = FaultCounter(wish, late_by_exchange(late))
        self._told = told

    def take_counted(self, exchanges: Iterable[CountedExchange]) -> None:
        """Take reduced ones."""
        for one in exchanges:
            self.counter.take_counted(one, partial(self._whole, one.number))
            self._told(one.number)

    def take_whole(self, recorded: RecordedExchange) -> None:
        """Take one that was read by itself."""
        self.counter.take_exchange(recorded)
        self._told(recorded.exchange.number)

    def take_event(self, event: RecordedEvent) -> None:
        """Take an event that was read by itself."""
        self.counter.take(event)
        if isinstance(event.event, ExchangeDone):
            self._told(event.event.exchange.number)

    def _whole(self, number: int) -> RecordedExchange:
        found = self.reader.exchange(number)
        assert found is not None, "what was counted a moment ago can be read"
        return found


def readable_marks(reader: RecordReader, unreadable: Unreadable) -> tuple[Mark, ...]:
    """Return the marks that stand; none where they are lost to damage."""
    try:
        return current_marks(reader.marks())
    except RecordProblem:
        unreadable.rows += 1
        return ()


def _late_replies(reader: RecordReader, unreadable: Unreadable) -> tuple[LateReply, ...]:
    """Without them what has to be read row by row counts as it was recorded."""
    try:
        return reader.late_replies()
    except RecordProblem:
        unreadable.rows += 1
        return ()


def _count_rows(counting: _Counting, unreadable: Unreadable) -> None:
    """Count all rows; where a page cannot be read, row by row around the damage."""
    behind_last = counting.reader.last_row() + 1
    for first in range(1, behind_last, NUMBERS_AT_ONCE):
        limit = min(NUMBERS_AT_ONCE, behind_last - first)
        try:
            page = counting.reader.counted_rows(first, limit)
        except RecordProblem:
            for event in events_around_damage(counting.reader, first, limit, unreadable):
                counting.take_event(event)
        else:
            counting.take_counted(page.exchanges)
            counting.counter.take_strays(page.strays)


def _count_fitting(counting: _Counting, wanted: FaultFilter, unreadable: Unreadable) -> None:
    last = counting.reader.last_number()
    for first in range(1, last + 1, NUMBERS_AT_ONCE):
        behind = min(first + NUMBERS_AT_ONCE, last + 1)
        try:
            page = counting.reader.fitting_counted(wanted, first, behind - 1)
        except RecordProblem:
            for number in range(first, behind):
                try:
                    for recorded in counting.reader.fitting_exchanges(wanted, number, number):
                        counting.take_whole(recorded)
                except RecordProblem:
                    unreadable.rows += 1
        else:
            counting.take_counted(page)


def abnormal_exchanges(reader: RecordReader, wanted: FaultFilter, unreadable: Unreadable) -> Iterator[RecordedExchange]:
    """Yield every exchange of the list of a filter, page by page, in order.

    Raises:
        RecordProblem: The list cannot be read at all.
    """
    after = 0
    while True:
        try:
            page = reader.abnormal_exchanges(AbnormalPage(wanted, after_number=after, limit=LISTED_AT_ONCE))
        except RecordProblem:
            yield from _one_by_one(reader, wanted, after, unreadable)
            return
        yield from page
        if len(page) < LISTED_AT_ONCE:
            return
        after = page[-1].exchange.number


def _one_by_one(
    reader: RecordReader, wanted: FaultFilter, after: int, unreadable: Unreadable
) -> Iterator[RecordedExchange]:
    """Go on around damage: each number is asked for by itself."""
    for number in range(after + 1, reader.last_number() + 1):
        page = AbnormalPage(wanted, after_number=number - 1, before_number=number + 1, limit=1)
        try:
            yield from reader.abnormal_exchanges(page)
        except RecordProblem:
            unreadable.rows += 1
