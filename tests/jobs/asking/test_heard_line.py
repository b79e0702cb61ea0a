"""What is heard on a line between exchanges, and how the line becomes quiet.

Times: 9600 8N1, one character 1.0417 ms, t3.5 = 3.6458 ms (Serial Line V1.02, 2.5.1.1).
"""

from __future__ import annotations

import pytest

from buswalk.domain.line_events import StrayArrival
from buswalk.jobs.asking.heard_line import QUIET_WITHIN_S, HeardLine
from buswalk.jobs.asking.late_replies import LateReplies
from buswalk.jobs.asking.stopped import Stopped
from tests.fakes.failing_line import FailingLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import ReplayingLine

T35_S = 3.5 * 10 / 9600
FOREIGN_REQUEST = bytes.fromhex("31 03 00 00 00 02 C1 FB")


def heard_on(line: ReplayingLine, clock: JumpingClock) -> tuple[HeardLine, KeptEvents]:
    sink = KeptEvents()
    return HeardLine(line, clock, sink, LateReplies(sink)), sink


def test_a_line_is_quiet_three_and_a_half_characters_behind_the_last_byte() -> None:
    """Serial Line V1.02, 2.5.1.1; what comes while that is waited for is told, and puts it off."""
    clock = JumpingClock()
    line = ReplayingLine(clock)
    heard, sink = heard_on(line, clock)
    line.play(0.003, FOREIGN_REQUEST[:4])
    line.play(0.006, FOREIGN_REQUEST[4:])

    is_quiet = heard.wait_for_quiet(minimum_gap_s=0.0)

    assert is_quiet
    assert clock.now_s() == pytest.approx(0.006 + T35_S)
    assert [one.arrival.data for one in sink.of(StrayArrival)] == [FOREIGN_REQUEST[:4], FOREIGN_REQUEST[4:]]


def test_a_minimum_gap_is_waited_for_where_it_is_longer() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    heard, _ = heard_on(line, clock)
    line.play(0.1, FOREIGN_REQUEST)

    is_quiet = heard.wait_for_quiet(minimum_gap_s=0.5)

    assert is_quiet
    assert clock.now_s() == pytest.approx(0.1 + 0.5)


def test_a_line_that_never_becomes_quiet_is_given_up() -> None:
    """A byte each 2 ms leaves less silence than t3.5."""
    clock = JumpingClock()
    line = ReplayingLine(clock)
    heard, sink = heard_on(line, clock)
    for number in range(2000):
        line.play(number * 0.002, b"\x55")

    is_quiet = heard.wait_for_quiet(minimum_gap_s=0.0)

    assert not is_quiet
    assert clock.now_s() == pytest.approx(QUIET_WITHIN_S, abs=0.01)
    assert sink.evidence == b"\x55" * len(sink.of(StrayArrival))


def test_listening_returns_what_it_tells_and_nothing_from_later_on() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    heard, sink = heard_on(line, clock)
    line.play(0.2, FOREIGN_REQUEST)
    line.play(0.6, b"\x00")

    arrivals = heard.listen_until(0.5)

    assert [one.data for one in arrivals] == [FOREIGN_REQUEST]
    assert sink.evidence == FOREIGN_REQUEST
    assert clock.now_s() == pytest.approx(0.5)


def test_a_stop_ends_a_read_at_once() -> None:
    clock = JumpingClock()
    heard, _ = heard_on(FailingLine(clock, 1, Stopped()), clock)

    with pytest.raises(Stopped):
        heard.read(0.5)


def test_a_stop_that_is_put_off_lets_the_read_be_done_again_and_comes_at_the_end() -> None:
    clock = JumpingClock()
    line = FailingLine(clock, 1, Stopped())
    heard, _ = heard_on(line, clock)
    line.play(0.1, FOREIGN_REQUEST)
    read = []

    with pytest.raises(Stopped), heard.without_stopping():
        read.append(heard.read(0.5))

    assert [one.data for one in read if one is not None] == [FOREIGN_REQUEST]


def test_where_no_stop_came_nothing_is_raised_at_the_end_of_putting_off() -> None:
    clock = JumpingClock()
    heard, _ = heard_on(ReplayingLine(clock), clock)

    with heard.without_stopping():
        nothing = heard.read(0.5)

    assert nothing is None
