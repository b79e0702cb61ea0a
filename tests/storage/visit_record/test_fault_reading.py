"""What was not clean, asked of a record by filter: the same as counted one by one, with and without its index."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import Credit, ExchangeDone, LateReply
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.observation import BytesAfter, BytesBefore, ForeignFrame
from buswalk.domain.modbus.outcome import BroadcastSent, CorruptReply, ExceptionReply, NoReply, ShortReply
from buswalk.domain.record_faults import AbnormalPage
from buswalk.domain.statistics.fault_filter import ALL, FaultFilter, FaultKind
from buswalk.domain.statistics.fault_report import FaultCounter, FaultWish, late_by_exchange
from buswalk.domain.statistics.fault_rows import fault_rows
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.mark_end import NO_END
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, MarkEdited, MarkMade, MarkSource
from buswalk.storage.visit_record.fault_reading import fault_counts
from buswalk.storage.visit_record.reader import SqliteReader, open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.every_event import FOREIGN, NORMAL, REFUSAL, REPLY, STARTED, exchange

FAST = SerialSettings.of(19_200, "8N2")
SILENT = NoReply(0.3)
DAMAGED = CorruptReply(b"\x25\x03\x02\x02\x2b\x00\x00", 7)


def _exchanges() -> list[Exchange]:
    """Twenty in two sessions, numbered from 1, of servers 5 and 6, every second one of each; 19 goes to all."""
    made = [exchange(number, NORMAL, float((number - 1) % 10 + 1), 5 + number % 2) for number in range(1, 21)]
    changed: dict[int, Callable[[Exchange], Exchange]] = {
        2: lambda one: replace(one, outcome=SILENT),
        3: lambda one: replace(one, observations=(BytesBefore(b"\x00"),)),
        5: lambda one: replace(one, outcome=DAMAGED, observations=(BytesAfter(b"\x01"),)),
        6: lambda one: replace(one, outcome=ExceptionReply(REFUSAL, 2)),
        8: lambda one: replace(one, outcome=SILENT),
        11: lambda one: replace(one, outcome=ShortReply(b"\x25", 7)),
        13: lambda one: replace(one, observations=(ForeignFrame(FOREIGN),)),
        14: lambda one: replace(one, outcome=SILENT, settings=FAST),
        19: lambda one: replace(one, outcome=BroadcastSent(), server_address=0),
    }
    return [changed[one.number](one) if one.number in changed else one for one in made]


EXCHANGES = _exchanges()
LATE = LateReply(5, (8,), REPLY, 9.5, Credit.CREDITED)
DOUBTFUL = LateReply(5, (2, 8), REPLY, 9.6, Credit.DOUBTFUL)


def make(path: Path) -> None:
    """Session 1 has a watch in it from exchange 5 to 8, session 2 begins with exchange 11."""
    recorder = open_visit_record(path, is_simulated=False)
    for one in EXCHANGES:
        if one.number in (1, 11):
            recorder.close()
            recorder = open_visit_record(path, is_simulated=False)
            recorder.keep(STARTED, 0.0)
        if one.number == 5:
            recorder.keep(JobStarted(1, "watch", 4.9), 4.9)
        recorder.keep(ExchangeDone(one), one.ended_s)
        if one.number == 8:
            recorder.keep(JobEnded(1, "watch", JobEndKind.FINISHED, "", 8.9), 8.9)
        if one.number == 10:
            recorder.keep(LATE, 9.5)
            recorder.keep(DOUBTFUL, 9.6)
    recorder.close()


def make_old(path: Path) -> None:
    """The same as the first version of the program left it: no index, no counts beside, no changes of marks."""
    make(path)
    with closing(sqlite3.connect(path)) as connection:
        for statement in (
            "DROP TRIGGER count_beside",
            "DROP TABLE beside",
            "DROP INDEX exchange_unusual",
            "DROP TABLE mark_change",
        ):
            connection.execute(statement)


@pytest.fixture(params=[make, make_old])
def reader(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[SqliteReader]:
    """A reader of either record."""
    path = tmp_path / "visit.buswalk.sqlite"
    request.param(path)
    with closing(open_record(path)) as opened:
        yield opened


WANTED = [
    (ALL, [2, 3, 5, 8, 11, 14]),
    (FaultFilter(addresses=frozenset({5})), [2, 8, 14]),
    (FaultFilter(kinds=frozenset({FaultKind.NO_REPLY})), [2, 14]),
    (FaultFilter(kinds=frozenset({FaultKind.LATE})), [8]),
    (FaultFilter(kinds=frozenset({FaultKind.STRAY})), [3, 5]),
    (FaultFilter(kinds=frozenset({FaultKind.REFUSED, FaultKind.SHORT})), [6, 11]),
    (FaultFilter(kinds=frozenset({FaultKind.DAMAGED}), addresses=frozenset({5})), []),
    (FaultFilter(times=(MarkedSpan(1, 2.5, 5.0),)), [3, 5]),
    (FaultFilter(inside=(MarkedSpan(1, 2.5, 5.0),)), [3]),
    (FaultFilter(inside=(MarkedSpan(1, 2.5, 5.2), MarkedSpan(2, 0.0))), [3, 5, 11, 14]),
    (FaultFilter(jobs=frozenset({"watch"})), [5, 8]),
    (FaultFilter(but_jobs=frozenset({"watch"})), [2, 3, 11, 14]),
    (FaultFilter(but_jobs=frozenset({"watch"}), addresses=frozenset({5})), [2, 14]),
    (FaultFilter(but_jobs=frozenset({"search"})), [2, 3, 5, 8, 11, 14]),
    (FaultFilter(settings=frozenset({FAST})), [14]),
    (FaultFilter(settings=frozenset({FAST}), jobs=frozenset({"watch"})), []),
]


@pytest.mark.parametrize(("wanted", "numbers"), WANTED)
def test_a_filter_lists_what_it_says(reader: SqliteReader, wanted: FaultFilter, numbers: list[int]) -> None:
    """Exchange 5 lasts until 5.05 s: it was sent within the span, but does not lie whole in it."""
    listed = reader.abnormal_exchanges(AbnormalPage(wanted))

    assert [one.exchange.number for one in listed] == numbers
    assert reader.abnormal_count(wanted) == len(numbers)


def test_pages_go_to_and_fro_from_any_exchange(reader: SqliteReader) -> None:
    following = reader.abnormal_exchanges(AbnormalPage(after_number=4, limit=2))
    preceding = reader.last_abnormal_exchanges(AbnormalPage(before_number=8, limit=2))
    latest = reader.last_abnormal_exchanges(AbnormalPage(limit=1))

    assert [one.exchange.number for one in following] == [5, 8]
    assert [one.exchange.number for one in preceding] == [3, 5]
    assert [one.exchange.number for one in latest] == [14]
    assert following[0].exchange == EXCHANGES[4]
    assert following[1].late == (LATE, DOUBTFUL)
    assert following[0].job == 1


def test_the_table_is_the_one_that_counting_one_by_one_gives(reader: SqliteReader) -> None:
    counter = FaultCounter(FaultWish(), late_by_exchange((LATE, DOUBTFUL)))
    for event in reader.events(1, 1000):
        counter.take(event)

    counts = reader.fault_counts(ALL, 0)

    assert counts.is_whole
    assert fault_rows([counts]) == counter.rows()
    five, six = fault_rows([counts])
    assert (five.asked, five.answered, five.refused, five.no_reply, five.late) == (10, 6, 1, 2, 1)
    assert (six.asked, six.answered, six.damaged, six.short) == (9, 7, 1, 1)
    assert (six.beside.stray, six.beside.stray_but_clean, six.beside.foreign) == (2, 1, 1)


@pytest.mark.parametrize("make_record", [make, make_old])
def test_a_table_under_a_filter_is_counted_part_by_part(tmp_path: Path, make_record: Callable[[Path], None]) -> None:
    path = tmp_path / "visit.buswalk.sqlite"
    make_record(path)
    wanted = FaultFilter(times=(MarkedSpan(1, 3.0, 9.0), MarkedSpan(2, 1.0, 4.5)))

    with closing(sqlite3.connect(path)) as connection:
        parts = [fault_counts(connection, wanted, 0, at_once=7)]
        while not parts[-1].is_whole:
            parts.append(fault_counts(connection, wanted, parts[-1].counted_to, at_once=7))

    assert [one.counted_to for one in parts] == [7, 14, 20]
    five, six = fault_rows(parts)
    assert (five.asked, five.refused, five.late, five.no_reply) == (5, 1, 1, 1)
    assert (six.asked, six.damaged, six.short, six.beside.stray) == (6, 1, 1, 2)


def test_a_timeline_has_each_exchange_in_the_bin_of_its_sending(reader: SqliteReader) -> None:
    """Each session lasts from 1 s to 10.05 s."""
    timeline = reader.fault_timeline(ALL, 20)

    shown = {
        (timeline.bins[one.bin].session, one.server_address, one.outcome): timeline.bins[one.bin]
        for one in timeline.counts
    }
    assert sum(one.count for one in timeline.counts) == 6
    assert sum(one.stray for one in timeline.counts) == 2
    for session, address, outcome, at_s in (
        (2, 6, "short_reply", 1.0),
        (2, 5, "no_reply", 4.0),
    ):
        found = shown[session, address, outcome]
        assert found.from_s <= at_s <= found.to_s
    assert {(one.session, one.server_address): one.count for one in timeline.asked} == {
        (1, 5): 5,
        (1, 6): 5,
        (2, 5): 5,
        (2, 6): 4,
    }


def test_a_timeline_of_a_time_is_of_that_time_only(reader: SqliteReader) -> None:
    wanted = FaultFilter(times=(MarkedSpan(2, 1.0, 5.0),))

    timeline = reader.fault_timeline(wanted, 4)

    assert [(one.session, one.from_s, one.to_s) for one in timeline.bins] == [
        (2, 1.0, 2.0),
        (2, 2.0, 3.0),
        (2, 3.0, 4.0),
        (2, 4.0, 5.0),
    ]
    assert [(one.bin, one.server_address, one.outcome) for one in timeline.counts] == [
        (0, 6, "short_reply"),
        (3, 5, "no_reply"),
    ]


def test_an_old_record_that_is_gone_on_with_gets_what_it_lacks(tmp_path: Path) -> None:
    path = tmp_path / "visit.buswalk.sqlite"
    make_old(path)
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)
    recorder.keep(ExchangeDone(replace(EXCHANGES[2], number=21)), 1.0)
    recorder.close()

    with closing(open_record(path)) as opened:
        (_, six) = fault_rows([opened.fault_counts(ALL, 0)])
        kept = sqlite3.connect(path).execute("SELECT sum(stray), sum(foreign_frames) FROM beside").fetchone()

        assert (six.beside.stray, six.beside.stray_but_clean, six.beside.foreign) == (3, 2, 1)
        assert kept == (3, 1)
        assert opened.problems() == ()


def test_a_record_without_exchanges_has_nothing_to_show(tmp_path: Path) -> None:
    path = tmp_path / "visit.buswalk.sqlite"
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)
    recorder.close()

    with closing(open_record(path)) as opened:
        assert opened.abnormal_exchanges(AbnormalPage()) == ()
        assert fault_rows([opened.fault_counts(ALL, 0)]) == ()
        assert opened.fault_timeline(ALL, 10).bins == ()


@pytest.mark.parametrize(
    ("harm", "sentence"),
    [
        ("UPDATE beside SET stray = stray + 1 WHERE server_address = 6", "foreign frames of server address 6 are not"),
        ("DELETE FROM beside WHERE server_address = 6", "foreign frames of server address 6 are not those of its"),
        ("UPDATE mark_change SET mark = 999", "changes a mark that is not in the record"),
        ("DELETE FROM event WHERE kind = 'mark_edited'", "changes a mark, but what it says of it is not in the record"),
    ],
)
def test_a_check_looks_at_counts_beside_and_at_changes_of_marks(tmp_path: Path, harm: str, sentence: str) -> None:
    path = tmp_path / "visit.buswalk.sqlite"
    make(path)
    recorder = open_visit_record(path, is_simulated=False)
    recorder.begin(STARTED)
    mark = recorder.keep(MarkMade("fan on", MarkSource.USER, 1.0), 1.0)
    recorder.keep(MarkEdited(mark, "fan 2 on", 0.5, NO_END, 2.0), 2.0)
    recorder.close()
    with closing(open_record(path)) as opened:
        assert opened.problems() == ()

    with closing(sqlite3.connect(path)) as connection:
        connection.execute(harm)
        connection.commit()

    with closing(open_record(path)) as opened:
        (problem,) = opened.problems()
    assert sentence in problem
