"""Line time: appointments in order, clocks that jump, and a clock that is slowed down."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulated_line.clocks import PacedClock, VirtualClock
from simulated_line.timeline import FOREVER_S, Timeline


@given(st.lists(st.floats(0, 100), max_size=30))
def test_appointments_come_in_order_of_time(times: list[float]) -> None:
    timeline = Timeline()
    seen: list[float] = []
    for time_s in times:
        timeline.at(time_s, lambda: seen.append(timeline.now_s()))

    timeline.run_until(101)

    assert seen == sorted(times)
    assert timeline.now_s() == 101


def test_what_was_called_off_does_not_happen() -> None:
    timeline = Timeline()
    seen: list[str] = []
    timeline.at(1.0, lambda: seen.append("kept"))
    timeline.at(1.0, lambda: seen.append("called off")).call_off()

    timeline.run_until(2.0)

    assert seen == ["kept"]
    assert timeline.next_time_s() == FOREVER_S


def test_an_appointment_made_on_the_way_is_kept_on_the_way() -> None:
    timeline = Timeline()
    seen: list[float] = []

    def make_another() -> None:
        timeline.at(1.5, lambda: seen.append(timeline.now_s()))

    timeline.at(1.0, make_another)

    timeline.run_until(2.0)

    assert seen == [1.5]


def test_time_never_goes_back() -> None:
    timeline = Timeline()
    timeline.run_until(5.0)

    timeline.run_until(3.0)

    assert timeline.now_s() == 5.0


def test_a_virtual_clock_jumps_and_otherwise_stands() -> None:
    timeline = Timeline()
    clock = VirtualClock(timeline)

    clock.sleep_until(3600.0)

    assert clock.now_s() == 3600.0
    assert clock.now_s() == 3600.0


class RealTime:
    """Real time that only passes when somebody sleeps or works."""

    def __init__(self) -> None:
        self.now_s = 50.0
        self.slept: list[float] = []

    def sleep(self, seconds: float) -> None:
        """Note it."""
        self.slept.append(seconds)
        self.now_s += seconds


def test_a_paced_clock_waits_until_real_time_has_come_to_line_time() -> None:
    real = RealTime()
    clock = PacedClock(Timeline(), 10.0, lambda: real.now_s, real.sleep)

    clock.sleep_until(20.0)

    assert real.slept == [pytest.approx(2.0)]
    assert clock.now_s() == 20.0


def test_falling_behind_is_not_made_up_for() -> None:
    real = RealTime()
    clock = PacedClock(Timeline(), 10.0, lambda: real.now_s, real.sleep)
    real.now_s += 5.0
    clock.sleep_until(10.0)

    clock.sleep_until(20.0)

    assert real.slept == [pytest.approx(1.0)]


def test_a_paced_clock_walks_while_no_job_runs() -> None:
    real = RealTime()
    clock = PacedClock(Timeline(), 10.0, lambda: real.now_s, real.sleep)
    real.now_s += 3.0

    clock.walk()

    assert clock.now_s() == pytest.approx(30.0)
    assert real.slept == []


@pytest.mark.parametrize("factor", [0.0, -1.0])
def test_a_clock_that_never_moves_is_refused(factor: float) -> None:
    with pytest.raises(ValueError, match="never moves"):
        PacedClock(Timeline(), factor, lambda: 0.0, lambda _: None)
