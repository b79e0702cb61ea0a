"""Bytes nobody waited for: frames of others are those that listening finds, late replies are ours."""

from __future__ import annotations

from buswalk.domain.line.arrival import Arrival
from buswalk.ui.strip.unasked import WAIT_TICKS, ForeignHeard, StrayHeard, Unasked, UnaskedBytes
from tests.fakes.answering_line import with_check_sum

REQUEST = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
STATUS = with_check_sum(bytes.fromhex("11 07"))
STATUS_REPLY = with_check_sum(bytes.fromhex("11 07 6D"))
"""The example of Application V1.1b3, 6.7: a request of four bytes."""


def came(data: bytes, at_s: float) -> Arrival:
    return Arrival(data, (), at_s - 0.001, at_s)


def quiet(unasked: UnaskedBytes) -> list[Unasked]:
    return [one for _ in range(WAIT_TICKS) for one in unasked.tick()]


def test_a_request_of_four_bytes_is_a_frame_where_its_reply_follows() -> None:
    unasked = UnaskedBytes()
    unasked.take(came(STATUS, 1.0))
    unasked.take(came(STATUS_REPLY, 1.02))

    assert quiet(unasked) == [ForeignHeard(STATUS, 1.0), ForeignHeard(STATUS_REPLY, 1.02)]


def test_each_frame_has_the_time_at_which_its_last_byte_came() -> None:
    unasked = UnaskedBytes()
    unasked.take(came(b"\xff" + REQUEST[:4], 1.0))
    unasked.take(came(REQUEST[4:], 1.01))
    unasked.take(came(REPLY, 1.03))

    assert quiet(unasked) == [StrayHeard(b"\xff", 1.0), ForeignHeard(REQUEST, 1.01), ForeignHeard(REPLY, 1.03)]


def test_traffic_that_never_rests_is_told_all_the_same() -> None:
    """Something comes with every tick. A frame can be 256 bytes long (Serial Line V1.02, 2.5.1): so far back one may
    still begin, and so much is held back at most, beside two ticks."""
    unasked = UnaskedBytes()
    told: list[Unasked] = []
    for number in range(20):
        unasked.take(came(REQUEST, number * 0.1))
        unasked.take(came(REPLY, number * 0.1 + 0.03))
        told += unasked.tick()

    frames = [one.adu for one in told if isinstance(one, ForeignHeard)]
    assert frames[:4] == [REQUEST, REPLY, REQUEST, REPLY]
    assert len(frames) == len(told)
    assert len(b"".join(frames)) >= (20 - WAIT_TICKS - 1) * len(REQUEST + REPLY) - 256


def test_a_late_reply_is_taken_out_of_what_is_foreign() -> None:
    unasked = UnaskedBytes()
    unasked.take(came(b"\xff" + REPLY, 1.0))

    unasked.take_late(REPLY)

    assert quiet(unasked) == [StrayHeard(b"\xff", 1.0)]


def test_a_late_reply_that_listening_would_not_believe_is_ours_all_the_same() -> None:
    """A reply whose byte count fits no whole registers: only its request says that it is one."""
    odd = with_check_sum(bytes.fromhex("25 03 03 01 02 03"))
    unasked = UnaskedBytes()
    unasked.take(came(b"\xff" + odd + b"\xfe", 1.0))

    unasked.take_late(odd)

    assert quiet(unasked) == [StrayHeard(b"\xff", 1.0), StrayHeard(b"\xfe", 1.0)]
