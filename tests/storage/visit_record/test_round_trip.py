"""What is kept is read back as it was: every kind of event, every outcome, every byte."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line_events import ExchangeDone, LateReply, StrayArrival
from buswalk.domain.listening.events import Heard
from buswalk.domain.modbus.outcome import NoReply
from buswalk.domain.record_reader import (
    EndedInOrder,
    ExchangePage,
    NotEnded,
    OutcomeCount,
    RecordedEvent,
    found_devices,
)
from buswalk.domain.visit.marks import current_marks
from buswalk.domain.visit.session_events import (
    MarkEdited,
    MarkEnded,
    MarkMade,
    MarkSource,
    MarkTakenBack,
    PlanKept,
)
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.every_event import (
    DEVICES,
    EVERY_EVENT,
    EVERYWHERE,
    FOUND,
    HEARD,
    MARK_ROW,
    OBSERVED,
    REPLY,
    SIMULATED,
    STARTED,
    STRAY,
    UNCLEAR,
    WRITTEN,
    exchange,
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a record may be made."""
    return tmp_path / "2026-03-05-ttyUSB0.buswalk.sqlite"


@pytest.fixture
def full(path: Path) -> Path:
    """A record with every event there is, closed in order."""
    keep_all(path, EVERY_EVENT)
    return path


def keep_all(path: Path, events: tuple[object, ...]) -> list[int]:
    recorder = open_visit_record(path, is_simulated=False)
    rows = [recorder.keep(event, 3.0 + number) for number, event in enumerate(events)]
    recorder.close()
    return rows


def test_every_event_is_read_back_as_it_was_in_the_order_of_keeping(full: Path) -> None:
    reader = open_record(full)

    events = reader.events(1, 1000)

    assert [one.event for one in events] == list(EVERY_EVENT)
    assert [one.row for one in events] == list(range(1, len(EVERY_EVENT) + 1))
    reader.close()


def test_a_skipped_stream_is_read_on_from_any_row(full: Path) -> None:
    reader = open_record(full)

    events = reader.events(10, 3)

    assert [(one.row, one.event) for one in events] == [(row, EVERY_EVENT[row - 1]) for row in (10, 11, 12)]
    reader.close()


def test_one_exchange_has_its_bytes_marks_and_observations(full: Path) -> None:
    reader = open_record(full)

    read = reader.exchange(13)

    assert read is not None
    assert read.exchange == OBSERVED
    assert (read.session, read.job) == (1, 1)
    assert reader.exchange(99) is None
    reader.close()


def test_a_late_reply_stands_beside_each_exchange_that_it_can_belong_to(full: Path) -> None:
    reader = open_record(full)
    late = tuple(one for one in EVERY_EVENT if isinstance(one, LateReply))

    of_three, of_eight = reader.exchange(3), reader.exchange(8)

    assert reader.late_replies() == late
    assert of_three is not None and of_three.late == late
    assert of_eight is not None and of_eight.late == late[:1]
    assert isinstance(of_three.exchange.outcome, NoReply)
    reader.close()


def test_outcomes_are_counted_as_recorded_and_late_credits_apart(full: Path) -> None:
    reader = open_record(full)

    counts = {one.outcome: one for one in reader.outcome_counts()}

    assert counts["no_reply"] == OutcomeCount(37, "no_reply", 2, 1)
    assert counts["no_reply"].count_less_late == 1
    assert counts["normal_reply"] == OutcomeCount(37, "normal_reply", 2, 0)
    assert sum(one.count for one in counts.values()) == 14
    reader.close()


def test_counts_are_kept_by_the_hour_of_line_time(path: Path) -> None:
    events = (
        STARTED,
        ExchangeDone(exchange(1, NoReply(0.1), at_s=3599.0)),
        ExchangeDone(exchange(2, NoReply(0.1), at_s=3599.99)),
        ExchangeDone(exchange(3, at_s=7300.0, server_address=9)),
    )
    keep_all(path, events)
    reader = open_record(path)

    hours = [(one.hour, one.counted.count) for one in reader.hour_counts(37)]

    assert hours == [(0, 1), (1, 1)]
    assert [one.hour for one in reader.hour_counts(9)] == [2]
    reader.close()


def test_findings_marks_and_the_plan_are_at_hand(full: Path) -> None:
    reader = open_record(full)

    findings = reader.findings()

    assert findings == (FOUND, EVERYWHERE, UNCLEAR)
    assert found_devices(findings) == (FOUND,)
    said = MarkMade | MarkEnded | MarkEdited | MarkTakenBack
    assert [one.event for one in reader.marks()] == [one for one in EVERY_EVENT if isinstance(one, said)]
    assert [(one.row, one.is_edited) for one in current_marks(reader.marks())] == [(MARK_ROW, True)]
    assert reader.plan() == PlanKept(DEVICES, 2.1)
    reader.close()


def test_the_last_plan_counts_even_if_it_is_empty(path: Path) -> None:
    keep_all(path, (STARTED, PlanKept(DEVICES, 1.0), PlanKept((), 2.0)))
    reader = open_record(path)

    assert reader.plan() == PlanKept((), 2.0)
    reader.close()


def test_a_record_without_plan_says_so(path: Path) -> None:
    keep_all(path, (STARTED,))
    reader = open_record(path)

    assert reader.plan() is None
    reader.close()


def test_a_device_found_again_stands_once_as_it_was_found_last() -> None:
    again = replace(FOUND, answered=1)

    assert found_devices((FOUND, UNCLEAR, again)) == (again,)


def test_pages_go_on_where_the_last_one_ended(full: Path) -> None:
    reader = open_record(full)

    first = reader.exchanges(ExchangePage(0, 5))
    second = reader.exchanges(ExchangePage(first[-1].exchange.number, 5))
    last = reader.last_exchanges(ExchangePage(limit=2))

    assert [one.exchange.number for one in (*first, *second)] == list(range(1, 11))
    assert [one.exchange for one in last] == [OBSERVED, WRITTEN]
    reader.close()


def test_a_page_of_one_server_holds_its_exchanges_only(path: Path) -> None:
    done = [ExchangeDone(exchange(number, server_address=30 + number % 2)) for number in range(1, 9)]
    keep_all(path, (STARTED, *done))
    reader = open_record(path)

    page = reader.exchanges(ExchangePage(3, 2, server_address=31))

    assert [one.exchange.number for one in page] == [5, 7]
    assert [one.exchange.number for one in reader.last_exchanges(ExchangePage(0, 1, 30))] == [8]
    reader.close()


def test_pages_go_back_from_an_exchange_too(path: Path) -> None:
    done = [ExchangeDone(exchange(number, server_address=30 + number % 2)) for number in range(1, 9)]
    keep_all(path, (STARTED, *done))
    reader = open_record(path)

    page = reader.last_exchanges(ExchangePage(limit=2, server_address=31, before_number=7))

    assert [one.exchange.number for one in page] == [3, 5]
    reader.close()


def test_bytes_that_were_kept_as_strays_are_not_kept_again_when_a_listener_tells_of_them(path: Path) -> None:
    rows = keep_all(path, (STARTED, StrayArrival(STRAY), Heard(STRAY), Heard(HEARD)))
    reader = open_record(path)

    kept = [one.event for one in reader.events(2, 10)]

    assert rows == [1, 2, 2, 3]
    assert kept == [StrayArrival(STRAY), Heard(HEARD)]
    reader.close()


def test_times_are_exact_to_the_nanosecond_after_eleven_days(path: Path) -> None:
    at_s = 1_000_000.123456789
    keep_all(path, (STARTED, StrayArrival(Arrival(REPLY, (), at_s, at_s + 0.001))))
    reader = open_record(path)

    (read,) = reader.events(2, 1)

    assert isinstance(read.event, StrayArrival)
    assert abs(read.event.arrival.not_before_s - at_s) <= 1e-9
    reader.close()


def test_a_session_closed_in_order_is_told_from_one_that_was_not(path: Path) -> None:
    keep_all(path, (STARTED, ExchangeDone(exchange(1))))
    second = open_visit_record(path, is_simulated=False)
    second.keep(STARTED, 0.0)
    reader = open_record(path)

    facts = reader.facts()

    assert [one.end for one in facts.sessions] == [EndedInOrder(4.0), NotEnded()]
    assert [one.exchanges for one in facts.sessions] == [1, 0]
    assert facts.sessions[0].started == STARTED
    assert facts.sessions[0].wall_time_at(3600.5).isoformat() == "2026-03-05T09:12:31.750000+01:00"
    second.close()
    reader.close()


def test_a_reader_sees_what_is_kept_while_it_is_open(path: Path) -> None:
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)
    reader = open_record(path)
    before = reader.facts().exchanges

    recorder.keep(ExchangeDone(exchange(1)), 1.0)

    assert (before, reader.facts().exchanges) == (0, 1)
    assert reader.events(2, 9) == (RecordedEvent(2, 1, ExchangeDone(exchange(1)), 0.05),)
    recorder.close()
    reader.close()


def test_the_facts_say_what_the_record_is(path: Path) -> None:
    recorder = open_visit_record(path, is_simulated=True)
    recorder.begin(SIMULATED)
    recorder.close()
    reader = open_record(path)

    facts = reader.facts()

    assert (facts.name, facts.schema, facts.is_simulated) == ("2026-03-05-ttyUSB0", 1, True)
    assert len(facts.visit_id) == 36
    assert facts.path == str(path)
    reader.close()


def test_a_mark_has_its_line_time(path: Path) -> None:
    mark = MarkMade("now", MarkSource.USER, 7.25)
    recorder = open_visit_record(path, is_simulated=False)
    recorder.begin(STARTED)
    recorder.keep(mark, 7.25)
    recorder.close()
    reader = open_record(path)

    assert reader.marks() == (RecordedEvent(2, 1, mark, 7.25),)
    reader.close()


def test_a_whole_record_has_no_problems(full: Path) -> None:
    reader = open_record(full)

    assert reader.problems() == ()
    reader.close()
