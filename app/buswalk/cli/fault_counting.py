"""Counts a record exchange by exchange, whatever its size; around damage what can be read is counted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from buswalk.cli.fault_filter_options import Looked
from buswalk.domain.line_events import ExchangeDone, LateReply
from buswalk.domain.record_export import Unreadable, readable_events
from buswalk.domain.record_faults import AbnormalPage
from buswalk.domain.record_reader import RecordedExchange, RecordReader
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
        counter = FaultCounter(wish, late_by_exchange(_late_replies(reader, unreadable)))
        for event in readable_events(reader, unreadable):
            counter.take(event)
            if isinstance(event.event, ExchangeDone):
                told(event.event.exchange.number)
    else:
        counter = FaultCounter(wish, {})
        for recorded in _fitting(reader, wanted, unreadable):
            counter.take_exchange(recorded)
            told(recorded.exchange.number)
    return counter.report()


def readable_marks(reader: RecordReader, unreadable: Unreadable) -> tuple[Mark, ...]:
    """Return the marks that stand; none where they are lost to damage."""
    try:
        return current_marks(reader.marks())
    except RecordProblem:
        unreadable.rows += 1
        return ()


def _late_replies(reader: RecordReader, unreadable: Unreadable) -> tuple[LateReply, ...]:
    """Without them what was answered late counts as it was recorded."""
    try:
        return reader.late_replies()
    except RecordProblem:
        unreadable.rows += 1
        return ()


def _fitting(reader: RecordReader, wanted: FaultFilter, unreadable: Unreadable) -> Iterator[RecordedExchange]:
    last = reader.last_number()
    for first in range(1, last + 1, NUMBERS_AT_ONCE):
        behind = min(first + NUMBERS_AT_ONCE, last + 1)
        try:
            yield from reader.fitting_exchanges(wanted, first, behind - 1)
        except RecordProblem:
            for number in range(first, behind):
                try:
                    yield from reader.fitting_exchanges(wanted, number, number)
                except RecordProblem:
                    unreadable.rows += 1


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
