"""Counts faults while they happen. An exchange is counted once no late reply to it can come any more."""

from __future__ import annotations

from collections import deque

from buswalk.domain.line_events import ExchangeDone, LateReply, LineEvent, StrayArrival
from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.statistics.fault_report import FaultCounter, FaultReport, FaultWish
from buswalk.domain.statistics.outcome_table import OutcomeRow

LATE_WITHIN_S = 6.0
"""Late replies are credited for 5 s (Serial Line V1.02, 2.4.1, calls one to several seconds a usual time-out)."""
LIVE_SESSION = 1


class LiveFaultCounter:
    """Takes line events as they happen, all of one session. Memory does not grow with their number."""

    def __init__(self, wish: FaultWish) -> None:
        self._late: dict[int, tuple[LateReply, ...]] = {}
        self._counter = FaultCounter(wish, self._late)
        self._waiting: deque[ExchangeDone] = deque()

    def take(self, event: LineEvent) -> None:
        """Take the next one."""
        match event:
            case ExchangeDone(exchange):
                self._waiting.append(event)
                self._count_until(exchange.ended_s - LATE_WITHIN_S)
            case LateReply(exchange_numbers=numbers):
                waiting = {one.exchange.number for one in self._waiting}
                for number in waiting.intersection(numbers):
                    self._late[number] = (*self._late.get(number, ()), event)
            case StrayArrival():
                self._counter.take(RecordedEvent(0, LIVE_SESSION, event, event.arrival.not_after_s))
            case _:
                pass

    def _count_until(self, time_s: float) -> None:
        while self._waiting and self._waiting[0].exchange.ended_s <= time_s:
            self._count(self._waiting.popleft())

    def _count(self, done: ExchangeDone) -> None:
        self._counter.take(RecordedEvent(0, LIVE_SESSION, done, done.exchange.ended_s))
        self._late.pop(done.exchange.number, None)

    def rows(self) -> tuple[OutcomeRow, ...]:
        """Return the rows of the table, but for the last seconds."""
        return self._counter.rows()

    def finish(self) -> FaultReport:
        """Count what still waits, and return the whole."""
        while self._waiting:
            self._count(self._waiting.popleft())
        return self._counter.report()
