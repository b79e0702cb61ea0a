"""When bytes came and when ours were sent: the reckoning, on a clock that jumps."""

from __future__ import annotations

import pytest

from buswalk.wire.empty_looks import EmptyLooks
from buswalk.wire.sending_times import SendingTimes
from buswalk.wire.system_clock import SystemClock
from tests.fakes.jumping_clock import JumpingClock


class Watched:
    """Something that is there from a time on; each look may wake up late."""

    def __init__(self, clock: JumpingClock, from_s: float, wakes_late_s: float = 0.0) -> None:
        self._clock = clock
        self._from_s = from_s
        self._wakes_late_s = wakes_late_s

    def look(self, seconds: float) -> bool:
        until_s = self._clock.now_s() + seconds
        self._clock.sleep_until(min(self._from_s, until_s))
        found = self._from_s <= self._clock.now_s()
        self._clock.sleep_until(self._clock.now_s() + self._wakes_late_s)
        return found


def test_the_last_empty_look_is_at_most_one_look_before_the_byte() -> None:
    clock = JumpingClock()
    looks = EmptyLooks(clock, Watched(clock, 0.1234).look)

    found = looks.wait(1.0)

    assert found
    assert 0.1234 - 0.0011 <= looks.last_empty_s <= 0.1234


def test_a_computer_that_wakes_us_late_widens_the_range_and_never_moves_it_past_the_byte() -> None:
    """The byte came at 50.5 ms; every look ends 7 ms late."""
    clock = JumpingClock()
    looks = EmptyLooks(clock, Watched(clock, 0.0505, wakes_late_s=0.007).look)

    looks.wait(1.0)

    assert looks.last_empty_s <= 0.0505 <= clock.now_s()


def test_a_wait_without_anything_ends_at_its_deadline() -> None:
    clock = JumpingClock()
    looks = EmptyLooks(clock, Watched(clock, 99.0).look)

    found = looks.wait(0.25)

    assert not found
    assert clock.now_s() == pytest.approx(0.25, abs=1e-9)
    assert clock.now_s() >= 0.25


def test_what_is_already_there_is_found_though_the_deadline_has_passed() -> None:
    clock = JumpingClock()
    clock.sleep_until(5.0)

    assert EmptyLooks(clock, Watched(clock, 4.0).look).wait(1.0)


def test_a_transmission_ends_after_its_bits_and_may_begin_late() -> None:
    """8 bytes of 11 bits at 9600 baud: 9.167 ms."""
    sent = SendingTimes(start_uncertainty_s=0.002).sent(1.000, 1.0001, 88 / 9600)

    assert sent.begin_s == 1.000
    assert sent.end_not_before_s == pytest.approx(1.009167, abs=1e-6)
    assert sent.end_not_after_s == pytest.approx(1.011267, abs=1e-6)


def test_bytes_handed_over_while_others_are_on_the_line_queue_behind_them() -> None:
    sending = SendingTimes(start_uncertainty_s=0.002)
    first = sending.sent(1.0, 1.0, 0.010)

    second = sending.sent(1.001, 1.001, 0.010)

    assert second.begin_s == first.end_not_before_s
    assert second.end_not_before_s == pytest.approx(1.020)
    assert second.end_not_after_s == pytest.approx(1.022)


def test_after_a_pause_nothing_is_queued() -> None:
    sending = SendingTimes(start_uncertainty_s=0.002)
    sending.sent(1.0, 1.0, 0.010)

    later = sending.sent(2.0, 2.0, 0.010)

    assert (later.begin_s, later.end_not_before_s) == (2.0, 2.010)


def test_the_system_clock_starts_near_zero_and_waits_no_less_than_asked() -> None:
    clock = SystemClock()
    first_s = clock.now_s()

    clock.sleep_until(first_s + 0.01)

    assert 0.0 <= first_s < 0.1
    assert clock.now_s() >= first_s + 0.01


def test_the_system_clock_does_not_wait_for_the_past() -> None:
    clock = SystemClock()

    clock.sleep_until(-1.0)

    assert clock.now_s() < 0.1
