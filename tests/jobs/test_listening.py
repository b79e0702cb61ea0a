"""Listening: nothing is sent, and what comes is named."""

from __future__ import annotations

import pytest

from buswalk.domain.line.arrival import Arrival, ByteMark, LineMark
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.listening.verdict import verdict_of
from buswalk.domain.listening.who_asks import RepeatedRequest
from buswalk.domain.search.events import Verdict
from buswalk.jobs.listening import listen
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine

REQUEST = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
USUAL = SerialSettings.of(9600, "8N1")
WRITE = bytes.fromhex("25 06 00 0A 00 D2 2F 71")
BREAK = (ByteMark(0, LineMark.BREAK),)


def arrival(data: bytes, *marks: ByteMark) -> Arrival:
    return Arrival(data, marks, 0.0, 0.001)


def test_arrivals_come_with_their_times_and_not_one_byte_is_sent() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    line.play(1.0, REQUEST)
    line.play(1.02, REPLY)

    *heard, ended = listen(line, clock, 10.0)

    assert [one.arrival.data for one in heard if isinstance(one, Heard)] == [REQUEST, REPLY]
    assert [one.arrival.not_after_s for one in heard if isinstance(one, Heard)] == pytest.approx([1.0, 1.02])
    assert isinstance(ended, ListeningEnded)
    assert (ended.verdict, ended.byte_count) == (Verdict.TRAFFIC, 17)
    assert [frame.adu for frame in ended.frames] == [REQUEST, REPLY]
    assert line.writes == []
    assert clock.now_s() == 10.0


def test_bytes_that_were_waiting_are_heard_too() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    line.play(0.0, REQUEST)

    first, *_ = listen(line, clock, 1.0)

    assert isinstance(first, Heard) and first.arrival.data == REQUEST


def test_a_frame_in_two_lumps_is_one_frame() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    line.play(1.0, REPLY[:4])
    line.play(1.01, REPLY[4:])

    *_, ended = listen(line, clock, 2.0)

    assert isinstance(ended, ListeningEnded) and [frame.adu for frame in ended.frames] == [REPLY]


def test_a_sender_without_end_does_not_keep_us_listening() -> None:
    """At the deadline a read still looks once and may find bytes each time."""
    clock = JumpingClock()
    line = ReplayingLine(clock)
    for number in range(400):
        line.play(number * 0.01, b"\x55")
    for _ in range(400):
        line.play(1.0, b"\x55")

    *_, ended = listen(line, clock, 1.0)

    assert isinstance(ended, ListeningEnded) and ended.byte_count == 101


@pytest.mark.parametrize(
    ("arrivals", "verdict"),
    [
        ([], Verdict.SILENT),
        ([arrival(REQUEST)], Verdict.TRAFFIC),
        ([arrival(b"\x00"), arrival(REPLY[:5]), arrival(REPLY[5:])], Verdict.TRAFFIC),
        ([arrival(REPLY[:-1] + b"\x09")], Verdict.BABBLE),
        ([arrival(b"\x55\xff\x00\x11\x02")], Verdict.BABBLE),
        ([arrival(b"\x00", *BREAK)], Verdict.HELD),
        ([arrival(b"\x00", *BREAK)] * 50, Verdict.HELD),
        ([arrival(b"\x00", ByteMark(0, LineMark.FRAMING_ERROR))], Verdict.HELD),
        ([arrival(b"\x00")], Verdict.BABBLE),
        ([arrival(b"\x00\x12", *BREAK)], Verdict.BABBLE),
    ],
)
def test_what_came_is_named(arrivals: list[Arrival], verdict: Verdict) -> None:
    """A line held at space is a break: bytes 00 whose stop bit is missing (common practice, no source)."""
    assert verdict_of(arrivals, decode(arrivals, USUAL)) is verdict


def test_who_asks_whom_how_often_is_part_of_the_end() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    for second in (1, 3, 5):
        line.play(second, REQUEST)
        line.play(second + 0.02, REPLY)

    *_, ended = listen(line, clock, 10.0)

    assert isinstance(ended, ListeningEnded)
    (row,) = ended.requests
    assert isinstance(row, RepeatedRequest)
    assert (row.server_address, row.pdu, row.asked, row.answered) == (37, REQUEST[1:-2], 3, 3)
    assert row.period_s == pytest.approx(2.0)
    assert ended.unasked_replies == ()


def test_one_frame_among_many_bytes_does_not_prove_a_client() -> None:
    """Random bytes make one frame with a right CRC in about two megabytes; a hundred kilobytes do so now and then."""
    babble = bytes(range(0xF8, 0x100)) * 12_500
    arrivals = [arrival(babble), arrival(WRITE), arrival(babble)]

    assert verdict_of(arrivals, decode(arrivals, USUAL)) is Verdict.BABBLE
    assert verdict_of([arrival(WRITE)], decode([arrival(WRITE)], USUAL)) is Verdict.TRAFFIC
