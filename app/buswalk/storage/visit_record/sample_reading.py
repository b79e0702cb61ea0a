"""Reads samples from a record: one point over time as columns, or the samples of some rows."""

from __future__ import annotations

import json
import math
import sqlite3
import struct
from collections.abc import Iterator

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.record_samples import NO_SAMPLES, SampleColumns, SamplePage
from buswalk.domain.registers.samples import SamplesTaken
from buswalk.storage.visit_record.exchange_columns import NS, nanoseconds
from buswalk.storage.visit_record.opening import has
from buswalk.storage.visit_record.sample_columns import NUMBER_BYTES, samples_from

FIRST_NS, LAST_NS = -(2**63), 2**63 - 1
ROWS_AT_ONCE = 10_000
_TAKEN = (
    "SELECT row, session, exchange, at_ns, uncertainty_ns, server_address, baud_rate, framing, points, "
    "numbers, qualities, words FROM sample JOIN sample_layout USING (layout) JOIN settings USING (settings) "
)


def sample_columns(connection: sqlite3.Connection, page: SamplePage) -> SampleColumns:
    """Return one point over time; none from a record of the days before there were samples."""
    if not has(connection, "sample"):
        return NO_SAMPLES
    found = [_columns(_rows(connection, page, layout, place)) for layout, place in _layouts_with(connection, page)]
    # A point stands in one layout mostly, and in another one after the plan was made anew.
    return found[0] if len(found) == 1 else _in_order(found, page.limit)


def samples_taken(connection: sqlite3.Connection, first_row: int, end_row: int) -> Iterator[RecordedEvent]:
    """Yield the samples that were kept in a span of rows."""
    if not has(connection, "sample"):
        return
    found = connection.execute(f"{_TAKEN} WHERE row >= ? AND row < ? ORDER BY row", (first_row, end_row)).fetchall()
    for row, session, exchange, at_ns, uncertainty_ns, address, baud, framing, points, *blobs in found:
        numbers, qualities, words = blobs
        samples = samples_from(json.loads(points), (numbers, qualities, words))
        settings = SerialSettings.of(baud, framing)
        taken = SamplesTaken(exchange, address, settings, samples, at_ns / NS, uncertainty_ns / NS)
        yield RecordedEvent(row, session, taken, taken.at_s)


def _layouts_with(connection: sqlite3.Connection, page: SamplePage) -> list[tuple[int, int]]:
    """Return the layouts that hold a point, and its place in each."""
    query = "SELECT layout, points FROM sample_layout WHERE server_address = ?"
    named = ((layout, json.loads(text)) for layout, text in connection.execute(query, (page.server_address,)))
    return [(layout, points.index(page.point)) for layout, points in named if page.point in points]


def _columns(rows: sqlite3.Cursor) -> SampleColumns:
    """Pack row by row, some at a time: a million tuples at once keep the collector of garbage busy."""
    pieces: list[SampleColumns] = []
    while some := rows.fetchmany(ROWS_AT_ONCE):
        times, numbers, codes = zip(*some, strict=True)
        pieces.append(SampleColumns(struct.pack(f"<{len(times)}q", *times), b"".join(numbers), b"".join(codes)))
    return SampleColumns(
        b"".join(one.times_ns for one in pieces),
        b"".join(one.numbers for one in pieces),
        b"".join(one.codes for one in pieces),
    )


def _in_order(found: list[SampleColumns], limit: int) -> SampleColumns:
    """Return the first so many samples of all."""
    times = [at_ns for one in found for (at_ns,) in struct.iter_unpack("<q", one.times_ns)]
    numbers = b"".join(one.numbers for one in found)
    codes = b"".join(one.codes for one in found)
    order = sorted(range(len(times)), key=times.__getitem__)[:limit]
    return SampleColumns(
        struct.pack(f"<{len(order)}q", *(times[at] for at in order)),
        b"".join(numbers[NUMBER_BYTES * at : NUMBER_BYTES * (at + 1)] for at in order),
        bytes(codes[at] for at in order),
    )


def _rows(connection: sqlite3.Connection, page: SamplePage, layout: int, place: int) -> sqlite3.Cursor:
    query = (
        "SELECT at_ns, substr(numbers, ?, ?), substr(qualities, ?, 1) FROM sample INDEXED BY sample_by_layout "
        "WHERE layout = ? AND session = ? AND at_ns > ? AND at_ns <= ? ORDER BY at_ns LIMIT ?"
    )
    at = NUMBER_BYTES * place + 1
    span = (_whole_ns(page.after_s), _whole_ns(page.to_s))
    return connection.execute(query, (at, NUMBER_BYTES, place + 1, layout, page.session, *span, page.limit))


def _whole_ns(time_s: float) -> int:
    if math.isinf(time_s):
        return FIRST_NS if time_s < 0 else LAST_NS
    return nanoseconds(time_s)
