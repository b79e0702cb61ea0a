"""Reads the record of a visit, read-only: every method is one short transaction, so that writing is never held up."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from buswalk.domain.event_json import snake_case
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, LateReply, StrayArrival
from buswalk.domain.listening.events import Heard
from buswalk.domain.record_faults import AbnormalPage, CountedRows, FaultCounts, FaultTimeline
from buswalk.domain.record_reader import (
    LARGEST_PAGE,
    EndedInOrder,
    ExchangePage,
    HourCount,
    NotEnded,
    OutcomeCount,
    RecordedEvent,
    RecordedExchange,
    RecordedSession,
    RecordFacts,
)
from buswalk.domain.record_samples import SampleColumns, SamplePage
from buswalk.domain.search.events import AnswersEverywhere, Found, Unclear
from buswalk.domain.statistics.counted_exchange import CountedExchange
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.statistics.reduction import counted_exchange
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.domain.visit.session_events import PlanKept, SessionStarted
from buswalk.storage.record_problems import SQLITE_ERRORS, cannot_read, damaged_record
from buswalk.storage.visit_record.checking import problems_in
from buswalk.storage.visit_record.cut_file import is_cut, last_number, last_row, look_at_tables
from buswalk.storage.visit_record.event_columns import EVENT_COLUMNS, event_of, known_event, recorded_from
from buswalk.storage.visit_record.exchange_columns import ARRIVAL_COLUMNS, NS, arrival_from
from buswalk.storage.visit_record.exchange_counting import ExchangeCounting
from buswalk.storage.visit_record.exchange_reading import (
    exchanges_in_rows,
    exchanges_numbered,
    exchanges_where,
    first_of_page,
    last_of_page,
    late_replies_between,
)
from buswalk.storage.visit_record.fault_conditions import Condition, counted
from buswalk.storage.visit_record.fault_reading import (
    abnormal_count,
    abnormal_numbers,
    fault_counts,
    fault_timeline,
)
from buswalk.storage.visit_record.opening import has, require_record
from buswalk.storage.visit_record.recorder import ENDING
from buswalk.storage.visit_record.sample_reading import sample_columns, samples_taken

T = TypeVar("T")
BUSY_WAIT_S = 1.0


def open_record(path: Path) -> SqliteReader:
    """Open a record for reading.

    Raises:
        RecordProblem: It is not there, cannot be read, is no record, or one of a newer version.
    """
    try:
        connection = _connect(path)
    except SQLITE_ERRORS as reason:
        raise cannot_read(path, reason) from reason
    try:
        require_record(connection, path)
        return SqliteReader(connection, path)
    except SQLITE_ERRORS as reason:
        connection.close()
        raise cannot_read(path, reason) from reason
    except RecordProblem:
        connection.close()
        raise


def _connect(path: Path) -> sqlite3.Connection:
    if not path.is_file():
        raise cannot_read(path, FileNotFoundError(2, "not there"))
    uri = f"{path.resolve().as_uri()}?mode=ro"
    connection = sqlite3.connect(uri, uri=True, timeout=BUSY_WAIT_S, isolation_level=None, check_same_thread=False)
    try:
        look_at_tables(connection)
    except sqlite3.OperationalError:
        connection.close()
        if path.with_name(path.name + "-wal").exists():
            raise
        # In a folder that nobody may write to, SQLite cannot make the files beside a write-ahead log. There is no
        # log, so nobody writes: the main file alone is the record.
        uri = f"{uri}&immutable=1"
        return sqlite3.connect(uri, uri=True, isolation_level=None, check_same_thread=False)
    return connection


class SqliteReader:
    """A `RecordReader` of one file."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self._path = path
        self._counting = ExchangeCounting(connection, partial(late_replies_between, connection), self._whole_counted)

    def is_cut(self) -> bool:
        """Tell whether the file ends before its header says."""
        return self._read(lambda: is_cut(self._connection, self._path))

    def facts(self) -> RecordFacts:
        """What it is, with its sessions."""
        return self._read(self._facts)

    def exchanges(self, page: ExchangePage) -> tuple[RecordedExchange, ...]:
        """A page of exchanges with their arrivals, in order."""
        return self._read(lambda: first_of_page(self._connection, page))

    def last_exchanges(self, page: ExchangePage) -> tuple[RecordedExchange, ...]:
        """The last `limit` exchanges of a page, in order."""
        return self._read(lambda: last_of_page(self._connection, page))

    def exchange(self, number: int) -> RecordedExchange | None:
        """One exchange with its arrivals; None if no exchange has this number."""
        found = self._read(lambda: exchanges_numbered(self._connection, [number]))
        return found[0] if found else None

    def last_number(self) -> int:
        """The number of the last exchange; 0 if there is none."""
        return self._read(lambda: last_number(self._connection))

    def late_replies(self) -> tuple[LateReply, ...]:
        """All late replies, in order."""
        query = "SELECT kind, json FROM event WHERE row IN (SELECT row FROM late_reply) ORDER BY row"
        return self._read(lambda: tuple(known_event(LateReply, kind, text) for kind, text in self._rows(query)))

    def outcome_counts(self) -> tuple[OutcomeCount, ...]:
        """Exchanges by server and outcome, over all sessions."""
        query = (
            "SELECT server_address, outcome, sum(count), sum(late_credited) FROM aggregate "
            "GROUP BY server_address, outcome ORDER BY server_address, outcome"
        )
        return self._read(lambda: tuple(OutcomeCount(*columns) for columns in self._rows(query)))

    def hour_counts(self, server_address: int) -> tuple[HourCount, ...]:
        """Those of one server, hour by hour."""
        query = (
            "SELECT session, hour, server_address, outcome, count, late_credited FROM aggregate "
            "WHERE server_address = ? ORDER BY session, hour, outcome"
        )
        return self._read(
            lambda: tuple(
                HourCount(session, hour, OutcomeCount(*counted))
                for session, hour, *counted in self._rows(query, (server_address,))
            )
        )

    def findings(self) -> tuple[Found | Unclear | AnswersEverywhere, ...]:
        """What searches found, in order; a device that was found again stands there again."""
        query = "SELECT event.kind, json FROM finding JOIN event USING (row) ORDER BY row"
        return self._read(
            lambda: tuple(
                event
                for kind, text in self._rows(query)
                if isinstance(event := event_of(kind, text), Found | Unclear | AnswersEverywhere)
            )
        )

    def marks(self) -> tuple[RecordedEvent, ...]:
        """All that was said of marks, in order."""
        return self._read(self._marks)

    def abnormal_exchanges(self, page: AbnormalPage) -> tuple[RecordedExchange, ...]:
        """The first `limit` exchanges of a page that were not clean, in order."""
        return self._read(lambda: self._abnormal(page, "ASC"))

    def last_abnormal_exchanges(self, page: AbnormalPage) -> tuple[RecordedExchange, ...]:
        """The last `limit` of them, in order."""
        return self._read(lambda: self._abnormal(page, "DESC"))

    def fitting_exchanges(self, wanted: FaultFilter, first: int, last: int) -> tuple[RecordedExchange, ...]:
        """All exchanges of these numbers that fit, clean ones too, in order."""
        where = counted(wanted) & Condition("number BETWEEN ? AND ?", (first, last))
        return self._read(lambda: exchanges_where(self._connection, where))

    def counted_rows(self, from_row: int, limit: int) -> CountedRows:
        """A span of rows, reduced to what counting needs."""
        return self._read(lambda: self._counted_rows(from_row, from_row + min(limit, LARGEST_PAGE)))

    def fitting_counted(self, wanted: FaultFilter, first: int, last: int) -> tuple[CountedExchange, ...]:
        """What `fitting_exchanges` gives, reduced to what counting needs."""
        where = counted(wanted) & Condition("number BETWEEN ? AND ?", (first, last))
        return self._read(lambda: self._counting.exchanges(where, "number"))

    def abnormal_count(self, wanted: FaultFilter) -> int:
        """How many exchanges fit."""
        return self._read(lambda: abnormal_count(self._connection, wanted))

    def fault_counts(self, wanted: FaultFilter, after_number: int) -> FaultCounts:
        """Counts for the table."""
        return self._read(lambda: fault_counts(self._connection, wanted, after_number))

    def fault_timeline(self, wanted: FaultFilter, bins: int) -> FaultTimeline:
        """When it was not clean."""
        return self._read(lambda: fault_timeline(self._connection, wanted, bins))

    def events_of(self, kinds: tuple[type, ...]) -> tuple[RecordedEvent, ...]:
        """All kept events of these kinds that are no traffic, in order."""
        names = [snake_case(one.__name__) for one in kinds]
        query = f"SELECT {EVENT_COLUMNS} FROM event WHERE kind IN ({', '.join('?' * len(names))}) ORDER BY row"
        return self._read(lambda: tuple(recorded_from(columns) for columns in self._rows(query, names)))

    def points_watched(self) -> tuple[RecordedEvent, ...]:
        """All descriptions of watched points, in order."""
        return self._read(self._points_watched)

    def samples(self, page: SamplePage) -> SampleColumns:
        """One point over time."""
        return self._read(lambda: sample_columns(self._connection, page))

    def settings_used(self) -> tuple[SerialSettings, ...]:
        """Every speed and framing in which anything was asked."""
        query = "SELECT baud_rate, framing FROM settings ORDER BY settings"
        return self._read(lambda: tuple(SerialSettings.of(*columns) for columns in self._rows(query)))

    def plan(self) -> PlanKept | None:
        """The planned list as it was kept last; None if there never was one."""
        query = "SELECT kind, json FROM event WHERE row = (SELECT max(row) FROM plan)"
        found = self._read(lambda: [known_event(PlanKept, kind, text) for kind, text in self._rows(query)])
        return found[0] if found else None

    def events(self, from_row: int, limit: int) -> tuple[RecordedEvent, ...]:
        """Every kept event from a row on, in the order of keeping."""
        return self._read(lambda: self._events(from_row, min(limit, LARGEST_PAGE)))

    def last_row(self) -> int:
        """The row of the event kept last; 0 if there is none."""
        return self._read(lambda: last_row(self._connection))

    def adapters(self) -> frozenset[str]:
        """The adapters that its lines were opened on, in words."""
        return self._read(lambda: frozenset(words for (words,) in self._rows("SELECT words FROM adapter")))

    def problems(self) -> tuple[str, ...]:
        """Look through the whole file: a sentence for each thing that is not as it must be."""
        try:
            return problems_in(self._connection)
        except SQLITE_ERRORS as reason:
            return (f"the file is damaged: {reason}",)

    def close(self) -> None:
        """Give the file back."""
        self._connection.close()

    # How

    def _read(self, read: Callable[[], T]) -> T:
        try:
            return read()
        except SQLITE_ERRORS as reason:
            raise cannot_read(self._path, reason) from reason
        except (ValueError, TypeError, LookupError, AssertionError) as reason:
            # A row that was written by this program can be read by it: what cannot was changed by something else.
            raise damaged_record(self._path) from reason

    def _rows(self, query: str, values: Iterable[Any] = ()) -> list[Any]:
        """Return all rows at once, so that no transaction stays open."""
        return self._connection.execute(query, tuple(values)).fetchall()

    def _facts(self) -> RecordFacts:
        uuid, schema, is_simulated = self._rows("SELECT uuid, schema, is_simulated FROM visit")[0]
        sessions = tuple(self._sessions())
        name = self._path.name.removesuffix(ENDING)
        exchanges = sum(one.exchanges for one in sessions)
        return RecordFacts(name, str(self._path), uuid, schema, bool(is_simulated), exchanges, sessions)

    def _sessions(self) -> Iterable[RecordedSession]:
        counts = dict(self._rows("SELECT session, sum(count) FROM aggregate GROUP BY session"))
        query = (
            "SELECT session.session, json, session_end.at_ns FROM session JOIN event USING (row) "
            "LEFT JOIN session_end ON session_end.session = session.session ORDER BY session.session"
        )
        for session, text, ended_ns in self._rows(query):
            end = NotEnded() if ended_ns is None else EndedInOrder(ended_ns / NS)
            read = RecordedSession(
                session, known_event(SessionStarted, "session_started", text), end, counts.get(session, 0)
            )
            read.wall_time_at(0.0)  # a wall time that cannot be read is damage, to be met here and not by who shows it
            yield read

    def _abnormal(self, page: AbnormalPage, order: str) -> tuple[RecordedExchange, ...]:
        return exchanges_numbered(self._connection, abnormal_numbers(self._connection, page, order))

    def _marks(self) -> tuple[RecordedEvent, ...]:
        rows = "SELECT row FROM mark"
        if has(self._connection, "mark_change"):
            rows += " UNION SELECT row FROM mark_change"
        query = f"SELECT {EVENT_COLUMNS} FROM event WHERE row IN ({rows}) ORDER BY row"
        return tuple(recorded_from(columns) for columns in self._rows(query))

    def _points_watched(self) -> tuple[RecordedEvent, ...]:
        if not has(self._connection, "points_watched"):
            return ()
        query = f"SELECT {EVENT_COLUMNS} FROM event WHERE row IN (SELECT row FROM points_watched) ORDER BY row"
        return tuple(recorded_from(columns) for columns in self._rows(query))

    def _whole_counted(self, number: int) -> CountedExchange:
        return counted_exchange(*exchanges_numbered(self._connection, [number]))

    def _counted_rows(self, first: int, behind: int) -> CountedRows:
        """What is no exchange is read too, for damage."""
        exchanges = self._counting.exchanges(Condition("row >= ? AND row < ?", (first, behind)), "row")
        strays = self._counting.strays(first, behind)
        if strays is None:
            others = self._events(first, behind - first)
            return CountedRows(exchanges, sum(isinstance(one.event, StrayArrival) for one in others))
        self._said(first, behind)
        return CountedRows(exchanges, strays)

    def _said(self, first: int, behind: int) -> dict[int, RecordedEvent]:
        """Return what is no traffic of a span of rows."""
        query = f"SELECT {EVENT_COLUMNS} FROM event WHERE row >= ? AND row < ? ORDER BY row"
        found = {columns[0]: recorded_from(columns) for columns in self._rows(query, (first, behind))}
        found.update((one.row, one) for one in samples_taken(self._connection, first, behind))
        return found

    def _events(self, from_row: int, limit: int) -> tuple[RecordedEvent, ...]:
        """Read a span of rows from each table: rows count on without gaps, so that so many are enough."""
        span = (from_row, from_row + limit)
        found = self._said(*span)
        for one in exchanges_in_rows(self._connection, *span):
            found[one.row] = RecordedEvent(one.row, one.session, ExchangeDone(one.exchange), one.exchange.ended_s)
        query = (
            f"SELECT row, session, kind, {ARRIVAL_COLUMNS} FROM arrival WHERE row >= ? AND row < ? AND exchange IS NULL"
        )
        for row, session, kind, *columns in self._rows(query, span):
            arrival = arrival_from(columns)
            event = Heard(arrival) if kind == "heard" else StrayArrival(arrival)
            found[row] = RecordedEvent(row, session, event, arrival.not_after_s)
        return tuple(found[row] for row in sorted(found))
