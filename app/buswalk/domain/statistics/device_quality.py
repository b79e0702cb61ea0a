"""All figures of one server, taken from its exchanges one by one: memory does not grow with their number."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line_events import Credit, LateReply
from buswalk.domain.modbus.exchange import Exchange, NeverSent, Turnaround
from buswalk.domain.modbus.outcome import ExceptionReply
from buswalk.domain.record_reader import OutcomeCount, RecordedExchange
from buswalk.domain.statistics.bunching import Between, Bunching, IntervalCounter, RunCounter
from buswalk.domain.statistics.outages import Outage, OutageFinder
from buswalk.domain.statistics.outcome_table import (
    CLEAN,
    NEVER_TRIED,
    Beside,
    OutcomeRow,
    column_of,
    has_foreign_frame,
    has_stray,
    outcome_name,
    outcome_rows,
)
from buswalk.domain.statistics.retries import RetryCounter, RetryLoss
from buswalk.domain.statistics.turnarounds import TurnaroundCounter, Turnarounds


@dataclass(frozen=True, slots=True)
class RefusalCount:
    """So many requests were refused with this code."""

    exception_code: int
    count: int


@dataclass(frozen=True, slots=True)
class DeviceQuality:
    """What the exchanges with one server show.

    Attributes:
        asked_s: Line time from the first sending to the last end, summed over sessions.
        refusals: By exception code; their sum is what was refused.
    """

    row: OutcomeRow
    bunching: Bunching
    between: Between
    outage: Outage
    retries: tuple[RetryLoss, ...]
    turnarounds: Turnarounds
    asked_s: float
    refusals: tuple[RefusalCount, ...] = ()

    @property
    def requests_per_second(self) -> float:
        """The pace at which it was asked; 0 where there is none to tell."""
        return self.row.trials / self.asked_s if self.asked_s > 0.0 else 0.0


def is_clean(exchange: Exchange) -> bool:
    """Tell whether it was answered or refused in time, and without stray bytes."""
    return column_of(outcome_name(exchange)) in CLEAN and not has_stray(exchange)


def is_trial(exchange: Exchange) -> bool:
    """Tell whether it says anything of the server: sent, to one server, and waited for."""
    return outcome_name(exchange) not in NEVER_TRIED


def sent_at_s(exchange: Exchange) -> float:
    """Return when its request began, or was given up."""
    return exchange.sent.at_s if isinstance(exchange.sent, NeverSent) else exchange.sent.begin_s


def credited_late(recorded: RecordedExchange) -> LateReply | None:
    """Return the late reply that is surely its answer."""
    for late in recorded.late:
        if late.credit is Credit.CREDITED and late.exchange_numbers[0] == recorded.exchange.number:
            return late
    return None


class DeviceTally:
    """Takes the exchanges with one server in their order."""

    def __init__(self, server_address: int) -> None:
        self._server_address = server_address
        self._counts: dict[str, int] = {}
        self._late: dict[str, int] = {}
        self._refusals: dict[int, int] = {}
        self._stray = self._stray_but_clean = self._foreign = 0
        self._runs, self._intervals = RunCounter(), IntervalCounter()
        self._outages, self._retries, self._turnarounds = OutageFinder(), RetryCounter(), TurnaroundCounter()
        self._session = 0
        self._from_s = self._to_s = self._earlier_s = 0.0

    def take(self, recorded: RecordedExchange) -> None:
        """Take the next one."""
        exchange, late = recorded.exchange, credited_late(recorded)
        name = outcome_name(exchange)
        self._counts[name] = self._counts.get(name, 0) + 1
        if isinstance(exchange.outcome, ExceptionReply):
            code = exchange.outcome.exception_code
            self._refusals[code] = self._refusals.get(code, 0) + 1
        if late is not None:
            self._late[name] = self._late.get(name, 0) + 1
        self._foreign += has_foreign_frame(exchange)
        if has_stray(exchange):
            self._stray += 1
            self._stray_but_clean += column_of(name) in CLEAN
        if recorded.session != self._session:
            self._begin_session(recorded.session, sent_at_s(exchange))
        self._to_s = exchange.ended_s
        if is_trial(exchange):
            self._take_trial(recorded, late)

    def _begin_session(self, session: int, at_s: float) -> None:
        self._earlier_s += self._to_s - self._from_s
        self._session, self._from_s = session, at_s
        self._intervals.cut()
        self._retries.cut()
        self._outages.session_ended()

    def _take_trial(self, recorded: RecordedExchange, late: LateReply | None) -> None:
        exchange = recorded.exchange
        began_s = sent_at_s(exchange)
        clean = is_clean(exchange)
        is_lost = column_of(outcome_name(exchange)) not in CLEAN
        self._runs.take(is_clean=clean)
        self._retries.take(is_lost=is_lost)
        if not clean:
            self._intervals.take(began_s)
        if is_lost:
            self._outages.unanswered(recorded.session, began_s, exchange.ended_s)
            self._take_late(exchange, late)
        else:
            self._outages.answered(began_s)
            if isinstance(exchange.turnaround, Turnaround):
                frame_s = len(exchange.received) * exchange.settings.character_s
                self._turnarounds.answered(exchange.turnaround.not_more_than_s, frame_s)

    def _take_late(self, exchange: Exchange, late: LateReply | None) -> None:
        if late is not None and not isinstance(exchange.sent, NeverSent):
            frame_s = len(late.adu) * exchange.settings.character_s
            self._turnarounds.answered_late(max(0.0, late.at_s - frame_s - exchange.sent.end_not_before_s))
        elif not exchange.received:
            self._turnarounds.unanswered()

    def row(self) -> OutcomeRow:
        """Return their row of the table so far."""
        counts = [
            OutcomeCount(self._server_address, name, count, self._late.get(name, 0))
            for name, count in self._counts.items()
        ]
        beside = Beside(self._stray, self._stray_but_clean, self._foreign)
        rows = outcome_rows(counts, {self._server_address: beside})
        return rows[0] if rows else OutcomeRow(self._server_address)

    def quality(self) -> DeviceQuality:
        """Return what they show so far."""
        return DeviceQuality(
            self.row(),
            self._runs.bunching(),
            self._intervals.between(),
            self._outages.longest(),
            self._retries.losses(),
            self._turnarounds.turnarounds(),
            self._earlier_s + self._to_s - self._from_s,
            tuple(RefusalCount(*one) for one in sorted(self._refusals.items())),
        )
