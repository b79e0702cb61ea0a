"""Turns each event into rows of the record. Transactions are the recorder's."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass

from buswalk.domain.event_json import event_json
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import Credit, ExchangeDone, LateReply, StrayArrival
from buswalk.domain.listening.events import Heard
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.request import Effect
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.search.events import AnswersEverywhere, Found, Unclear
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobStarted,
    MarkEdited,
    MarkEnded,
    MarkMade,
    MarkTakenBack,
    PlanKept,
    PortClosed,
    PortOpened,
    SessionStarted,
)
from buswalk.storage.visit_record.exchange_columns import (
    ARRIVAL_COLUMNS,
    EXCHANGE_COLUMNS,
    NS,
    arrival_columns,
    exchange_columns,
    nanoseconds,
    outcome_kind,
)
from buswalk.storage.visit_record.opening import has
from buswalk.storage.visit_record.sample_columns import sample_blobs

HOUR_NS = 3600 * NS

_INSERT_EXCHANGE = (
    f"INSERT INTO exchange (row, session, line, job, settings, {EXCHANGE_COLUMNS}) "
    "VALUES (?,?,?,?,?, ?,?,?,?,?,?,?,?,?,?,?,?,?,?)"
)
_INSERT_ARRIVAL = (
    f"INSERT INTO arrival (row, position, session, line, exchange, kind, {ARRIVAL_COLUMNS}) "
    "VALUES (?,?,?,?,?,?, ?,?,?,?)"
)
_COUNT = (
    "INSERT INTO aggregate VALUES (?,?,?,?,1,0) "
    "ON CONFLICT (session, hour, server_address, outcome) DO UPDATE SET count = count + 1"
)
_CREDIT = (
    "UPDATE aggregate SET late_credited = late_credited + 1 WHERE (session, hour, server_address, outcome) = "
    "(SELECT session, ended_ns / ?, server_address, outcome FROM exchange WHERE number = ?)"
)


@dataclass(slots=True)
class Place:
    """Where in the file the session is."""

    next_row: int
    next_number: int
    exchanges: int
    session: int = 0
    session_row: int = 0
    line: int | None = None
    job: int | None = None
    last_ns: int = 0


class EventWriter:
    """Writes into one session of one file. Every method raises sqlite3.Error when it cannot."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._settings: dict[SerialSettings, int] = {}
        self._layouts: dict[tuple[int, SerialSettings, tuple[str, ...]], int] = {}
        self.place = place_in(connection)

    def use(self, connection: sqlite3.Connection) -> None:
        """Go on in a copy of the file."""
        self._connection = connection

    def write(self, event: object, row: int, at_ns: int) -> None:
        """Write one event."""
        match event:
            case ExchangeDone(exchange):
                self._write_exchange(exchange, row)
            case StrayArrival(arrival):
                self._write_arrival(arrival, row, "stray_arrival")
            case Heard(arrival):
                self._write_arrival(arrival, row, "heard")
            case SamplesTaken():
                self._write_samples(event, row)
            case _:
                self._write_said(event, row, at_ns)
        self.place.last_ns = max(self.place.last_ns, at_ns)

    def holds_mark(self, row: int) -> bool:
        """Tell whether this row is a mark that was made."""
        return self._connection.execute("SELECT 1 FROM mark WHERE row = ?", (row,)).fetchone() is not None

    def end_session(self) -> None:
        """Write that the session ended in order."""
        self._insert("INSERT INTO session_end VALUES (?,?)", (self.place.session, self.place.last_ns))

    def _write_exchange(self, exchange: Exchange, row: int) -> None:
        place = self.place
        settings = self._settings_id(exchange.settings)
        self._insert(
            _INSERT_EXCHANGE, (row, place.session, place.line, place.job, settings, *exchange_columns(exchange))
        )
        for position, arrival in enumerate(exchange.arrivals):
            self._insert(
                _INSERT_ARRIVAL,
                (row, position, place.session, place.line, exchange.number, None, *arrival_columns(arrival)),
            )
        outcome = outcome_kind(exchange.outcome)
        hour = nanoseconds(exchange.ended_s) // HOUR_NS
        self._insert(_COUNT, (place.session, hour, exchange.server_address, outcome))
        if exchange.request.effect in (Effect.WRITES, Effect.DISTURBS):
            written = (exchange.number, exchange.server_address, exchange.request.function_code, outcome)
            self._insert("INSERT INTO write VALUES (?,?,?,?)", written)
        place.next_number = exchange.number + 1
        place.exchanges += 1

    def _write_arrival(self, arrival: Arrival, row: int, kind: str) -> None:
        place = self.place
        self._insert(_INSERT_ARRIVAL, (row, 0, place.session, place.line, None, kind, *arrival_columns(arrival)))

    def _write_samples(self, taken: SamplesTaken, row: int) -> None:
        times = (nanoseconds(taken.at_s), nanoseconds(taken.uncertainty_s))
        self._insert(
            "INSERT INTO sample VALUES (?,?,?,?,?,?,?,?,?)",
            (row, self.place.session, self._layout_id(taken), taken.exchange, *times, *sample_blobs(taken)),
        )

    def _write_said(self, event: object, row: int, at_ns: int) -> None:
        place = self.place
        if isinstance(event, SessionStarted):
            self._begin_session(event, row)
        values = event_json(event)
        kind = str(values.pop("event"))
        text = json.dumps(values, ensure_ascii=False)
        job = place.job
        match event:
            case PortOpened():
                self._write_line(event, row, at_ns)
            case PortClosed():
                place.line = None
            case JobStarted():
                job = place.job = self._new_id("job")
                self._insert(
                    "INSERT INTO job VALUES (?,?,?,?,?,?)", (job, row, place.session, event.number, event.name, at_ns)
                )
            case JobEnded():
                place.job = None
            case LateReply():
                self._write_late_reply(event, row)
            case MarkMade():
                columns = (row, place.session, at_ns, event.source.value, event.words)
                self._insert("INSERT INTO mark VALUES (?,?,?,?,?)", columns)
            case MarkEnded(mark) | MarkEdited(mark) | MarkTakenBack(mark):
                self._insert("INSERT INTO mark_change VALUES (?,?)", (row, mark))
            case PlanKept():
                self._write_plan(event, row, at_ns)
            case Found(server_address=address) | Unclear(address=address):
                self._insert("INSERT INTO finding VALUES (?,?,?,?,?)", (row, place.session, at_ns, kind, address))
            case PointsWatched():
                self._insert("INSERT INTO points_watched VALUES (?)", (row,))
            case AnswersEverywhere():
                self._insert("INSERT INTO finding VALUES (?,?,?,?,?)", (row, place.session, at_ns, kind, None))
            case _:
                pass
        self._insert("INSERT INTO event VALUES (?,?,?,?,?,?)", (row, place.session, job, at_ns, kind, text))

    def _begin_session(self, event: SessionStarted, row: int) -> None:
        self.place.session = self._new_id("session")
        self.place.session_row = row
        columns = (self.place.session, row, event.wall_time, event.factor, event.program)
        self._insert("INSERT INTO session VALUES (?,?,?,?,?)", columns)

    def _write_line(self, event: PortOpened, row: int, at_ns: int) -> None:
        self._insert("INSERT OR IGNORE INTO adapter (words) VALUES (?)", (event.adapter,))
        (adapter,) = self._connection.execute(
            "SELECT adapter FROM adapter WHERE words = ?", (event.adapter,)
        ).fetchone()
        self.place.line = self._new_id("line")
        columns = (self.place.line, row, self.place.session, at_ns, event.port, adapter)
        self._insert("INSERT INTO line VALUES (?,?,?,?,?,?)", columns)

    def _write_late_reply(self, event: LateReply, row: int) -> None:
        for position, number in enumerate(event.exchange_numbers):
            columns = (row, position, self.place.session, number, event.credit.value)
            self._insert("INSERT INTO late_reply VALUES (?,?,?,?,?)", columns)
        if event.credit is Credit.CREDITED:
            self._insert(_CREDIT, (HOUR_NS, event.exchange_numbers[0]))

    def _write_plan(self, event: PlanKept, row: int, at_ns: int) -> None:
        self._insert("INSERT INTO plan VALUES (?,?,?)", (row, self.place.session, at_ns))
        for position, one in enumerate(event.devices):
            settings = self._settings_id(one.settings) if one.settings is not None else None
            columns = (row, position, one.place, one.server_address, one.name, settings, one.board, one.where)
            self._insert("INSERT INTO planned_device VALUES (?,?,?,?,?,?,?,?)", columns)

    def _layout_id(self, taken: SamplesTaken) -> int:
        points = tuple(one.point for one in taken.samples)
        key = (taken.server_address, taken.settings, points)
        known = self._layouts.get(key)
        if known is not None:
            return known
        columns = (taken.server_address, self._settings_id(taken.settings), json.dumps(points, ensure_ascii=False))
        self._insert("INSERT OR IGNORE INTO sample_layout (server_address, settings, points) VALUES (?,?,?)", columns)
        query = "SELECT layout FROM sample_layout WHERE server_address = ? AND settings = ? AND points = ?"
        (layout,) = self._connection.execute(query, columns).fetchone()
        self._layouts[key] = layout
        return int(layout)

    def _settings_id(self, settings: SerialSettings) -> int:
        known = self._settings.get(settings)
        if known is not None:
            return known
        columns = (settings.baud_rate, settings.framing)
        self._insert("INSERT OR IGNORE INTO settings (baud_rate, framing) VALUES (?,?)", columns)
        query = "SELECT settings FROM settings WHERE baud_rate = ? AND framing = ?"
        (number,) = self._connection.execute(query, columns).fetchone()
        self._settings[settings] = number
        return int(number)

    def _new_id(self, table: str) -> int:
        (last,) = self._connection.execute(f"SELECT max({table}) FROM {table}").fetchone()
        return int(last or 0) + 1

    def _insert(self, statement: str, columns: tuple[object, ...]) -> None:
        self._connection.execute(statement, columns)


def place_in(connection: sqlite3.Connection) -> Place:
    """Return where a new session goes on in a file."""
    rows = [
        connection.execute(f"SELECT max(row) FROM {table}").fetchone()[0] or 0
        for table in ("event", "exchange", "arrival", "sample")
        if has(connection, table)
    ]
    (number,) = connection.execute("SELECT max(number) FROM exchange").fetchone()
    (exchanges,) = connection.execute("SELECT sum(count) FROM aggregate").fetchone()
    return Place(max(rows) + 1, (number or 0) + 1, exchanges or 0)
