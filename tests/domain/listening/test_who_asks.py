"""Counting what was heard: periods that damage does not double, turnarounds as ranges, and what is looked at early."""

from __future__ import annotations

from buswalk.domain.listening.decoder import decode_untimed
from buswalk.domain.listening.heard_exchange import Fit, HeardExchange, HeardFrame, UnansweredRequest
from buswalk.domain.listening.who_asks import MOST_REQUESTS, UnaskedReplies, WhoAsks
from buswalk.domain.modbus.exchange import NoTurnaround, Turnaround
from tests.fakes.answering_line import with_check_sum

READ = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")


def at(adu: bytes, begun_s: float, ended_s: float) -> HeardFrame:
    return HeardFrame(0, adu, begun_s, begun_s + 0.001, ended_s - 0.001, ended_s)


def test_a_request_that_was_missed_once_does_not_double_the_period() -> None:
    who = WhoAsks()

    who.take([UnansweredRequest(at(READ, second, second + 0.01)) for second in (1, 3, 5, 9, 11)])

    (row,) = who.requests
    assert (row.asked, row.answered, row.period_s) == (5, 0, 2.0)


def test_turnarounds_are_kept_from_the_quickest_to_the_slowest() -> None:
    who = WhoAsks()
    quick = HeardExchange(at(READ, 1.0, 1.010), at(REPLY, 1.020, 1.030), Fit.EXACT)
    slow = HeardExchange(at(READ, 2.0, 2.010), at(REPLY, 2.090, 2.100), Fit.EXACT)

    who.take([quick, slow])

    (row,) = who.requests
    assert isinstance(row.turnaround, Turnaround)
    assert abs(row.turnaround.not_less_than_s - 0.010) < 1e-9
    assert abs(row.turnaround.not_more_than_s - (2.091 - 2.009)) < 1e-9


def test_bytes_without_times_have_counts_but_no_period_and_no_turnaround() -> None:
    who = WhoAsks()

    who.take(decode_untimed((READ + REPLY) * 3))

    (row,) = who.requests
    assert (row.asked, row.answered, row.period_s, row.turnaround) == (3, 3, 0.0, NoTurnaround())


def test_what_is_not_decided_yet_is_counted_in_a_copy_only() -> None:
    who = WhoAsks()
    who.take([UnansweredRequest(at(READ, 1.0, 1.01))])

    also = who.and_also([UnansweredRequest(at(READ, 3.0, 3.01))])

    assert [one.asked for one in also.requests] == [2]
    assert [one.asked for one in who.requests] == [1]


def test_replies_that_nobody_asked_for_are_counted_by_who_gave_them() -> None:
    who = WhoAsks()

    who.take(decode_untimed(REPLY + REPLY + with_check_sum(bytes.fromhex("26 83 02"))))

    assert who.unasked_replies == (UnaskedReplies(0x25, 2), UnaskedReplies(0x26, 1))


def test_noise_without_end_fills_no_memory() -> None:
    who = WhoAsks()

    who.take([UnansweredRequest(at(READ[:2] + bytes([n >> 8, n & 255]) + READ[4:], n, n)) for n in range(1000)])

    assert len(who.requests) == MOST_REQUESTS
