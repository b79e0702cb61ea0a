"""All figures of one server, taken from its exchanges one by one: memory does not grow with their number."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.record_reader import OutcomeCount, RecordedExchange
from buswalk.domain.statistics.bunching import Between, Bunching, IntervalCounter, RunCounter
from buswalk.domain.statistics.counted_exchange import NO_REFUSAL, CountedExchange
from buswalk.domain.statistics.outages import Outage, OutageFinder
from buswalk.domain.statistics.outcome_table import (
    CLEAN_OUTCOMES,
    NEVER_TRIED,
    Beside,
    OutcomeRow,
    has_stray,
    outcome_name,
    outcome_rows,
)
from buswalk.domain.statistics.reduction import counted_exchange, was_clean
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
    return outcome_name(exchange) in CLEAN_OUTCOMES and not has_stray(exchange)


def is_trial(exchange: Exchange) -> bool:
    """Tell whether it says anything of the server: sent, to one server, and waited for."""
    return outcome_name(exchange) not in NEVER_TRIED


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
        self.take_counted(counted_exchange(recorded))

    def take_counted(self, one: CountedExchange) -> None:
        """Take the next one, of which no more was read than counting needs."""
        name = one.outcome
        self._counts[name] = self._counts.get(name, 0) + 1
        if one.exception_code != NO_REFUSAL:
            self._refusals[one.exception_code] = self._refusals.get(one.exception_code, 0) + 1
        if one.late is not None:
            self._late[name] = self._late.get(name, 0) + 1
        self._foreign += one.is_foreign
        if one.is_stray:
            self._stray += 1
            self._stray_but_clean += name in CLEAN_OUTCOMES
        if one.session != self._session:
            self._begin_session(one.session, one.began_s)
        self._to_s = one.ended_s
        if name not in NEVER_TRIED:
            self._take_trial(one)

    def _begin_session(self, session: int, at_s: float) -> None:
        self._earlier_s += self._to_s - self._from_s
        self._session, self._from_s = session, at_s
        self._intervals.cut()
        self._retries.cut()
        self._outages.session_ended()

    def _take_trial(self, one: CountedExchange) -> None:
        is_lost = one.outcome not in CLEAN_OUTCOMES
        clean = was_clean(one)
        self._runs.take(is_clean=clean)
        self._retries.take(is_lost=is_lost)
        if not clean:
            self._intervals.take(one.began_s)
        if is_lost:
            self._outages.unanswered(one.session, one.began_s, one.ended_s)
            self._take_late(one)
        else:
            self._outages.answered(one.began_s)
            if one.turnaround_s is not None:
                self._turnarounds.answered(one.turnaround_s, one.received_bytes * one.character_s)

    def _take_late(self, one: CountedExchange) -> None:
        if one.late is not None and one.request_ended_s is not None:
            frame_s = len(one.late.adu) * one.character_s
            self._turnarounds.answered_late(max(0.0, one.late.at_s - frame_s - one.request_ended_s))
        elif not one.received_bytes:
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
