"""What counting reads of exchanges is what reading them whole gives, damage included."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.statistics.counted_exchange import CountedExchange
from buswalk.domain.statistics.fault_filter import ALL, FaultFilter
from buswalk.domain.statistics.reduction import counted_exchange
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.visit_record.reader import SqliteReader, open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.every_event import EVERY_EVENT, STARTED
from tests.storage.visit_record.test_fault_reading import EXCHANGES, FAST, make

SEED = 20260305
DAMAGES = 60
"""Records changed at random; most of what is changed lies in a column that matters."""


def every_event(path: Path) -> None:
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)
    for event in EVERY_EVENT:
        recorder.keep(event, 1.0)
    recorder.close()


def whole_rows(reader: SqliteReader) -> tuple[list[CountedExchange], int] | str:
    """The same by reading all of each exchange; why not, where that fails."""
    try:
        events = reader.events(1, 1000)
        exchanges = [
            reader.exchange(one.event.exchange.number) for one in events if isinstance(one.event, ExchangeDone)
        ]
    except RecordProblem as problem:
        return problem.sentence
    strays = sum(isinstance(one.event, StrayArrival) for one in events)
    return [counted_exchange(one) for one in exchanges if one is not None], strays


def reduced_rows(reader: SqliteReader) -> tuple[list[CountedExchange], int] | str:
    try:
        rows = reader.counted_rows(1, 1000)
    except RecordProblem as problem:
        return problem.sentence
    return list(rows.exchanges), rows.strays


@pytest.mark.parametrize("made", [make, every_event])
def test_a_span_of_rows_is_reduced_to_the_same(made: Callable[[Path], None], tmp_path: Path) -> None:
    made(tmp_path / "visit.buswalk.sqlite")

    with closing(open_record(tmp_path / "visit.buswalk.sqlite")) as reader:
        whole, reduced = whole_rows(reader), reduced_rows(reader)

    assert reduced == whole
    assert not isinstance(reduced, str)
    assert len(reduced[0]) >= 14


@pytest.mark.parametrize(
    "wanted",
    [
        ALL,
        FaultFilter(addresses=frozenset({5})),
        FaultFilter(but_jobs=frozenset({"watch"})),
        FaultFilter(settings=frozenset({FAST})),
    ],
)
def test_what_fits_a_filter_is_reduced_to_the_same(wanted: FaultFilter, tmp_path: Path) -> None:
    make(tmp_path / "visit.buswalk.sqlite")

    with closing(open_record(tmp_path / "visit.buswalk.sqlite")) as reader:
        whole = [counted_exchange(one) for one in reader.fitting_exchanges(wanted, 2, len(EXCHANGES))]
        reduced = list(reader.fitting_counted(wanted, 2, len(EXCHANGES)))

    assert reduced == whole
    assert reduced


COLUMNS = {
    "exchange": (
        *("function", "request", "begin_ns", "sent_not_before_ns", "sent_not_after_ns", "ended_ns", "outcome"),
        *("reply", "detail", "observations", "turnaround_not_less_ns", "turnaround_not_more_ns", "job"),
    ),
    "arrival": ("not_before_ns", "not_after_ns", "bytes", "marks"),
    "event": ("json",),
}
VALUES: tuple[object, ...] = (
    *(None, -1, 0, 2**60, 1.5, "x", "[]", "{}", b"", b"\x25"),
    *("no_reply", "not_sent", "normal_reply"),
)


def test_damage_is_met_where_reading_the_whole_meets_it(tmp_path: Path) -> None:
    """Some value of some row is another one: either both ways refuse the rows, or both count the same."""
    chance = random.Random(SEED)
    whole_file, path = tmp_path / "whole.buswalk.sqlite", tmp_path / "visit.buswalk.sqlite"
    every_event(whole_file)
    refused = 0

    for number in range(DAMAGES):
        path.write_bytes(whole_file.read_bytes())
        table = chance.choice(list(COLUMNS))
        column, value = chance.choice(COLUMNS[table]), chance.choice(VALUES)
        with closing(sqlite3.connect(path)) as connection:
            (row,) = chance.choice(connection.execute(f"SELECT row FROM {table}").fetchall())
            try:
                connection.execute(f"UPDATE {table} SET {column} = ? WHERE row = ?", (value, row))
            except sqlite3.IntegrityError:
                continue
            connection.commit()
        with closing(open_record(path)) as reader:
            whole, reduced = whole_rows(reader), reduced_rows(reader)
        assert reduced == whole, f"seed {SEED}, number {number}: {table}.{column} of row {row} is {value!r}"
        refused += isinstance(whole, str)

    assert 5 < refused < DAMAGES - 5
