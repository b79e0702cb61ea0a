"""A record as text for other programs: exchanges or arrivals as CSV, or everything as JSON lines. Pure text, ASCII.

`cli/record_export.md` says what each column means. Rows that cannot be read are counted and left out.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.event_json import Json, event_json, json_value, snake_case
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.sent import Sent
from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.listening.events import Heard
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.record_reader import RecordedEvent, RecordedExchange, RecordedSession, RecordReader, UnknownEvent
from buswalk.domain.visit.recorder import RecordProblem

PAGE_ROWS = 500


class ExportKind(Enum):
    """What is written."""

    EXCHANGES = "exchanges"
    ARRIVALS = "arrivals"
    EVENTS = "events"


EXCHANGE_COLUMNS = (
    "simulated",
    "number",
    "session",
    "wall_time",
    "begin_s",
    "sent_not_before_s",
    "sent_not_after_s",
    "ended_s",
    "settings",
    "server_address",
    "function",
    "request",
    "outcome",
    "outcome_detail",
    "received",
    "turnaround_not_less_s",
    "turnaround_not_more_s",
    "observations",
    "late",
)
ARRIVAL_COLUMNS = (
    "simulated",
    "row",
    "session",
    "wall_time",
    "not_before_s",
    "not_after_s",
    "exchange",
    "bytes",
    "marks",
)


@dataclass(slots=True)
class Unreadable:
    """How many rows could not be read so far."""

    rows: int = 0


def export_lines(reader: RecordReader, kind: ExportKind, unreadable: Unreadable) -> Iterator[str]:
    """Yield the lines of an export, without line ends; the first one says what the others are.

    Raises:
        RecordProblem: The record cannot be read at all.
    """
    match kind:
        case ExportKind.EXCHANGES:
            return _csv(reader, EXCHANGE_COLUMNS, _exchange_rows, unreadable)
        case ExportKind.ARRIVALS:
            return _csv(reader, ARRIVAL_COLUMNS, _arrival_rows, unreadable)
        case ExportKind.EVENTS:
            return _json_lines(reader, unreadable)


def exchange_csv(reader: RecordReader, exchanges: Iterable[RecordedExchange]) -> Iterator[str]:
    """Yield some exchanges as the same CSV as an export of all of them.

    Raises:
        RecordProblem: The record cannot be read at all.
    """
    record = _record_of(reader)
    yield _csv_line(EXCHANGE_COLUMNS)
    for one in exchanges:
        done = RecordedEvent(one.row, one.session, ExchangeDone(one.exchange), one.exchange.ended_s)
        for row in _exchange_rows(done, record):
            yield _csv_line((_yes_no(record), *row))


def csv_lines(rows: Iterable[Sequence[object]]) -> Iterator[str]:
    """Yield rows of values as lines of CSV."""
    return (_csv_line(row) for row in rows)


def readable_events(reader: RecordReader, unreadable: Unreadable) -> Iterator[RecordedEvent]:
    """Yield every event that can be read, in order; where a page cannot be, row by row around the damage.

    Raises:
        RecordProblem: Not even the number of rows can be read.
    """
    last_row = reader.last_row()
    for from_row in range(1, last_row + 1, PAGE_ROWS):
        limit = min(PAGE_ROWS, last_row + 1 - from_row)
        try:
            yield from reader.events(from_row, limit)
        except RecordProblem:
            yield from events_around_damage(reader, from_row, limit, unreadable)


def events_around_damage(
    reader: RecordReader, from_row: int, limit: int, unreadable: Unreadable
) -> Iterator[RecordedEvent]:
    """Yield what can be read of a span of rows, each asked for by itself."""
    for row in range(from_row, from_row + limit):
        try:
            yield from reader.events(row, 1)
        except RecordProblem:
            unreadable.rows += 1


@dataclass(frozen=True, slots=True)
class _Record:
    """What is known of the whole record while its rows are written.

    Attributes:
        late: For each exchange that was answered late, how sure that is; the last reply counts.
    """

    is_simulated: bool
    sessions: dict[int, RecordedSession]
    late: dict[int, str]

    def wall_time(self, session: int, at_s: float) -> str:
        """Return it in words; nothing where the session itself is lost to damage."""
        known = self.sessions.get(session)
        return known.wall_time_at(at_s).isoformat(timespec="milliseconds") if known is not None else ""


def _record_of(reader: RecordReader) -> _Record:
    facts = reader.facts()
    late = {number: one.credit.value for one in reader.late_replies() for number in one.exchange_numbers}
    return _Record(facts.is_simulated, {one.session: one for one in facts.sessions}, late)


RowsOf = Callable[[RecordedEvent, _Record], Iterator[Sequence[object]]]


def _csv(reader: RecordReader, columns: tuple[str, ...], rows_of: RowsOf, unreadable: Unreadable) -> Iterator[str]:
    record = _record_of(reader)
    yield _csv_line(columns)
    for one in readable_events(reader, unreadable):
        for row in rows_of(one, record):
            yield _csv_line((_yes_no(record), *row))


def _yes_no(record: _Record) -> str:
    return "yes" if record.is_simulated else "no"


def _csv_line(values: Sequence[object]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="").writerow(values)
    return text.getvalue()


def _exchange_rows(one: RecordedEvent, record: _Record) -> Iterator[Sequence[object]]:
    if not isinstance(one.event, ExchangeDone):
        return
    exchange = one.event.exchange
    begin_s, low_s, high_s = _sent_times(exchange)
    turnaround = exchange.turnaround if isinstance(exchange.turnaround, Turnaround) else None
    detail = event_json(exchange.outcome)
    detail.pop("event")
    yield (
        exchange.number,
        one.session,
        record.wall_time(one.session, begin_s),
        begin_s,
        low_s,
        high_s,
        exchange.ended_s,
        exchange.settings,
        exchange.server_address,
        exchange.request.function_code,
        exchange.request_adu.hex(),
        snake_case(type(exchange.outcome).__name__),
        _json(detail),
        exchange.received.hex(),
        "" if turnaround is None else turnaround.not_less_than_s,
        "" if turnaround is None else turnaround.not_more_than_s,
        _json([json_value(seen) for seen in exchange.observations]),
        record.late.get(exchange.number, ""),
    )


def _sent_times(exchange: Exchange) -> tuple[float, float | str, float | str]:
    match exchange.sent:
        case Sent(begin_s, low_s, high_s):
            return begin_s, low_s, high_s
        case never:
            return never.at_s, "", ""


def _arrival_rows(one: RecordedEvent, record: _Record) -> Iterator[Sequence[object]]:
    number, arrivals = _arrivals_of(one.event)
    for arrival in arrivals:
        yield (
            one.row,
            one.session,
            record.wall_time(one.session, arrival.not_after_s),
            arrival.not_before_s,
            arrival.not_after_s,
            number,
            arrival.data.hex(),
            _json([json_value(mark) for mark in arrival.marks]),
        )


def _arrivals_of(event: object) -> tuple[int | str, tuple[Arrival, ...]]:
    match event:
        case ExchangeDone(exchange):
            return exchange.number, exchange.arrivals
        case StrayArrival(arrival) | Heard(arrival):
            return "", (arrival,)
        case _:
            return "", ()


def _json_lines(reader: RecordReader, unreadable: Unreadable) -> Iterator[str]:
    record = _record_of(reader)
    yield json.dumps(event_json(reader.facts()))
    for one in readable_events(reader, unreadable):
        values = _event_values(one.event)
        head: dict[str, Json] = {
            "event": values.pop("event"),
            "row": one.row,
            "session": one.session,
            "kept_at_s": one.at_s,
            "wall_time": record.wall_time(one.session, one.at_s),
        }
        yield json.dumps({**head, **values})


def _event_values(event: object) -> dict[str, Json]:
    if isinstance(event, UnknownEvent):
        return {"event": event.kind, **json.loads(event.json)}
    return event_json(event)


def _json(value: Json) -> str:
    return json.dumps(value) if value else ""
