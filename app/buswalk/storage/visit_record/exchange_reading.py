"""Reads whole exchanges from a record, each with its arrivals, the number of its job and the late replies to it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from typing import Any

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LateReply
from buswalk.domain.record_reader import ExchangePage, RecordedExchange
from buswalk.storage.visit_record.event_columns import known_event
from buswalk.storage.visit_record.exchange_columns import (
    ARRIVAL_COLUMNS,
    EXCHANGE_COLUMNS,
    arrival_from,
    exchange_from,
)
from buswalk.storage.visit_record.fault_conditions import Condition

_EXCHANGES = (
    "SELECT row, session, job, baud_rate, framing, "
    + ", ".join(f"exchange.{one}" for one in EXCHANGE_COLUMNS.split(", "))
    + " FROM exchange JOIN settings USING (settings)"
)


def exchanges_where(connection: sqlite3.Connection, where: Condition) -> tuple[RecordedExchange, ...]:
    """Return all exchanges that fit, in order."""
    return _exchanges(connection, f"{_EXCHANGES} WHERE {where.sql} ORDER BY number", where.values)


def exchanges_numbered(connection: sqlite3.Connection, numbers: list[int]) -> tuple[RecordedExchange, ...]:
    """Return the exchanges with these numbers, in order."""
    places = ", ".join("?" * len(numbers))
    return exchanges_where(connection, Condition(f"number IN ({places})", tuple(numbers)))


def exchanges_in_rows(connection: sqlite3.Connection, first: int, behind: int) -> tuple[RecordedExchange, ...]:
    """Return the exchanges that were kept in a span of rows, as they come."""
    return _exchanges(connection, f"{_EXCHANGES} WHERE row >= ? AND row < ?", (first, behind))


def first_of_page(connection: sqlite3.Connection, page: ExchangePage) -> tuple[RecordedExchange, ...]:
    """Return the first `limit` exchanges of a page, in order."""
    where, values = _of_page(page)
    return _exchanges(connection, f"{_EXCHANGES} {where} ORDER BY number LIMIT ?", (*values, page.limit))


def last_of_page(connection: sqlite3.Connection, page: ExchangePage) -> tuple[RecordedExchange, ...]:
    """Return the last `limit` exchanges of a page, in order."""
    where, values = _of_page(page)
    return _exchanges(connection, f"{_EXCHANGES} {where} ORDER BY number DESC LIMIT ?", (*values, page.limit))[::-1]


def late_replies_between(connection: sqlite3.Connection, first: int, last: int) -> dict[int, tuple[LateReply, ...]]:
    """Return the late replies to exchanges with these numbers, by number."""
    query = (
        "SELECT late_reply.exchange, kind, json FROM late_reply JOIN event USING (row) "
        "WHERE late_reply.exchange BETWEEN ? AND ? ORDER BY row"
    )
    found: dict[int, tuple[LateReply, ...]] = {}
    for number, kind, text in connection.execute(query, (first, last)).fetchall():
        found[number] = (*found.get(number, ()), known_event(LateReply, kind, text))
    return found


def _of_page(page: ExchangePage) -> tuple[str, tuple[int, ...]]:
    where, values = "WHERE number > ?", [page.after_number]
    if page.before_number:
        where, values = f"{where} AND number < ?", [*values, page.before_number]
    if page.server_address:
        where, values = f"{where} AND server_address = ?", [*values, page.server_address]
    return where, tuple(values)


def _exchanges(connection: sqlite3.Connection, query: str, values: Iterable[Any]) -> tuple[RecordedExchange, ...]:
    jobs: dict[int, int] = {}
    found = connection.execute(query, tuple(values)).fetchall()
    return tuple(_exchange_of(connection, columns, jobs) for columns in found)


def _exchange_of(connection: sqlite3.Connection, columns: tuple[Any, ...], jobs: dict[int, int]) -> RecordedExchange:
    row, session, job, baud_rate, framing, *rest = columns
    if job is not None and job not in jobs:
        jobs[job] = connection.execute("SELECT number FROM job WHERE job = ?", (job,)).fetchall()[0][0]
    settings = SerialSettings.of(baud_rate, framing)
    exchange = exchange_from(rest, settings, _arrivals(connection, row))
    return RecordedExchange(row, session, jobs.get(job, 0), exchange, _late_replies_to(connection, exchange.number))


def _arrivals(connection: sqlite3.Connection, row: int) -> tuple[Arrival, ...]:
    query = f"SELECT {ARRIVAL_COLUMNS} FROM arrival WHERE row = ? ORDER BY position"
    return tuple(arrival_from(columns) for columns in connection.execute(query, (row,)).fetchall())


def _late_replies_to(connection: sqlite3.Connection, number: int) -> tuple[LateReply, ...]:
    query = "SELECT kind, json FROM late_reply JOIN event USING (row) WHERE late_reply.exchange = ? ORDER BY row"
    found = connection.execute(query, (number,)).fetchall()
    return tuple(known_event(LateReply, kind, text) for kind, text in found)
