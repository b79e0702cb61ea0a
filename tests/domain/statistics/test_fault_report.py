"""A record counted in one pass: each exchange once, late ones as late, sessions kept apart."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.line_events import Credit, ExchangeDone, LateReply, LineEvent, StrayArrival
from buswalk.domain.modbus.observation import BytesBefore
from buswalk.domain.modbus.outcome import BroadcastSent, NoReply, Outcome, ShortReply, Stopped
from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.statistics.fault_report import FaultCounter, FaultReport, FaultWish, late_by_exchange
from buswalk.domain.statistics.live_faults import LiveFaultCounter
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.statistics.two_by_two import TwoByTwo
from tests.fakes.every_event import EVERY_EVENT, NORMAL, OUTCOMES, REPLY, STRAY, exchange

SILENT = NoReply(0.3)


def done(number: int, outcome: Outcome = NORMAL, at_s: float = 0.0, server_address: int = 37) -> ExchangeDone:
    return ExchangeDone(exchange(number, outcome, at_s, server_address))


def report_of(*events: object, wish: FaultWish | None = None, sessions: tuple[int, ...] = ()) -> FaultReport:
    late = late_by_exchange(one for one in events if isinstance(one, LateReply))
    counter = FaultCounter(wish or FaultWish(), late)
    for row, event in enumerate(events, start=1):
        counter.take(RecordedEvent(row, sessions[row - 1] if sessions else 1, event, 0.0))
    return counter.report()


def test_every_exchange_is_in_its_row_once() -> None:
    """A record of every event there is: 14 exchanges, one of them answered late, one with stray bytes."""
    (device,) = report_of(*EVERY_EVENT).devices

    row = device.row
    assert (row.asked, row.answered, row.refused, row.damaged, row.short, row.late) == (14, 2, 1, 1, 1, 1)
    assert (row.no_reply, row.beside.stray, row.beside.foreign) == (1, 1, 1)
    assert row.other == {
        "broadcast_sent": 1,
        "damaged_echo": 1,
        "echo_only": 1,
        "foreign_reply": 1,
        "not_sent": 1,
        "stopped": 1,
        "unexpected_reply": 1,
    }
    assert (row.trials, row.not_clean) == (11, 9)


def test_a_doubtful_late_reply_is_no_answer() -> None:
    late = LateReply(37, (1, 2), REPLY, 1.0, Credit.DOUBTFUL)

    (device,) = report_of(done(1, SILENT), done(2, SILENT), late).devices

    assert (device.row.late, device.row.no_reply, device.turnarounds.seen) == (0, 2, 0)


def test_a_credited_late_reply_has_its_turnaround() -> None:
    """Its last byte came 0.8 s in line time; the request of 8 characters of 11 bits ended by 9.2 ms at the soonest."""
    late = LateReply(37, (1,), REPLY, 0.8, Credit.CREDITED)

    (device,) = report_of(done(1, SILENT), late).devices

    assert device.row.late == 1
    assert 0.8 - 0.0092 - 7 * 11 / 9600 - 1e-6 <= device.turnarounds.longest_s <= 0.8 - 0.009


def test_what_was_never_tried_is_neither_clean_nor_not() -> None:
    events = (done(1), done(2, Stopped(b"")), done(3, BroadcastSent(), server_address=0))

    report = report_of(*events)

    (device,) = report.devices
    assert (device.row.asked, device.row.trials, device.row.not_clean) == (2, 1, 0)
    assert (report.broadcasts, report.abnormal) == (1, ())


def test_an_outage_and_a_row_of_losses_end_with_their_session() -> None:
    """Three lost, the session ends, three lost: at most three in a row within one session."""
    events = [done(number, SILENT, at_s=float(number)) for number in (1, 2, 3)]
    events += [done(number, SILENT, at_s=number - 3.0) for number in (4, 5, 6)]

    (device,) = report_of(*events, done(7, at_s=9.0), sessions=(1, 1, 1, 2, 2, 2, 2)).devices

    assert (device.outage.session, device.outage.requests, device.outage.from_s, device.outage.to_s) == (2, 3, 1.0, 9.0)
    assert [(one.lost, one.windows) for one in device.retries] == [(6, 7), (4, 5), (2, 3), (0, 1)]
    assert device.asked_s == (3.05 - 1.0) + (9.05 - 1.0)


def test_the_latest_abnormal_ones_are_kept_in_order() -> None:
    stray = replace(exchange(3), observations=(BytesBefore(b"\x00"),))
    events = (done(1, SILENT), done(2), ExchangeDone(stray), done(4, ShortReply(b"\x25", 7)), done(5))

    report = report_of(*events, StrayArrival(STRAY), wish=FaultWish(keep=2))

    assert [one.exchange.number for one in report.abnormal] == [3, 4]
    assert report.strays == 1


def test_only_the_wished_devices_are_counted() -> None:
    events = (done(1, SILENT, server_address=5), done(2, SILENT, server_address=6))

    report = report_of(*events, wish=FaultWish(addresses=frozenset({6})))

    assert [one.row.server_address for one in report.devices] == [6]
    assert [one.exchange.number for one in report.abnormal] == [2]


def test_marked_spans_tell_inside_from_outside() -> None:
    events = [done(1, at_s=1.0), done(2, SILENT, at_s=2.0), done(3, at_s=2.5), done(4, at_s=5.0)]

    report = report_of(*events, wish=FaultWish(spans=(MarkedSpan(1, 1.5, 3.0),)))

    assert [(one.server_address, one.table, one.across) for one in report.inside] == [(37, TwoByTwo(1, 1, 0, 2), 0)]


def test_counting_while_it_happens_comes_to_the_same() -> None:
    """A late reply comes behind its exchange, when others are done already."""
    events: list[LineEvent] = [done(1, SILENT, at_s=1.0), done(2, at_s=2.0)]
    events += [LateReply(37, (1,), REPLY, 2.5, Credit.CREDITED), StrayArrival(STRAY)]
    events += [done(number, at_s=float(number)) for number in range(3, 40)]
    counter = LiveFaultCounter(FaultWish())

    for event in events:
        counter.take(event)

    assert [one.asked for one in counter.rows()] == [33]
    assert counter.finish().devices == report_of(*events).devices
    assert counter.finish().devices[0].row.late == 1


def test_every_outcome_can_be_counted() -> None:
    report = report_of(*(done(number, one) for number, one in enumerate(OUTCOMES, start=1)))

    assert report.devices[0].row.asked == len(OUTCOMES)


def test_a_second_answer_to_what_was_answered_in_time_is_no_lateness() -> None:
    """Twins at one address answer one behind the other: the table and the list count the same."""
    second = LateReply(37, (1,), REPLY, 1.2, Credit.CREDITED)

    report = report_of(done(1, at_s=1.0), second, done(2, SILENT, at_s=2.0))

    (device,) = report.devices
    assert (device.row.answered, device.row.late, device.row.no_reply) == (1, 0, 1)
    assert [one.exchange.number for one in report.abnormal] == [2]
    assert device.row.not_clean == 1
