"""A lost port is looked for until it is back, and no longer than asked."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from buswalk.bus.job_runner import StoppableClock
from buswalk.bus.port_return import LOOK_EVERY_S, Back, StaysAway, wait_for_return
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.jobs.asking.stopped import Stopped
from tests.fakes.jumping_clock import JumpingClock


def back_at(clock: JumpingClock, time_s: float, problem: PortProblem = PortProblem.MISSING) -> Callable[[], str]:
    """Return what opens a port that is away until then."""

    def open_again() -> str:
        if clock.now_s() < time_s:
            raise PortError("port", problem, f"away at {clock.now_s():.1f} s")
        return "opened"

    return open_again


@pytest.mark.parametrize("problem", list(PortProblem))
def test_it_is_tried_again_whatever_the_reason_and_found_within_one_look(problem: PortProblem) -> None:
    """A name appears before its rights are set, and a server hangs up before it listens: any reason may pass."""
    clock = JumpingClock()

    result = wait_for_return(back_at(clock, 3.2, problem), clock, 60.0)

    assert isinstance(result, Back) and result.opened == "opened"
    assert 3.2 <= result.after_s <= 3.2 + LOOK_EVERY_S


def test_one_that_stays_away_is_given_up_in_time_with_the_last_reason() -> None:
    clock = JumpingClock()

    result = wait_for_return(back_at(clock, 1000.0), clock, 10.2)

    assert result == StaysAway("away at 10.2 s")
    assert clock.now_s() == pytest.approx(10.2)


def test_no_time_means_no_try() -> None:
    clock = JumpingClock()

    assert wait_for_return(back_at(clock, 0.0), clock, 0.0) == StaysAway("")


def test_a_stop_ends_the_wait() -> None:
    clock, stop = JumpingClock(), StopRequest()
    stop.set()

    with pytest.raises(Stopped):
        wait_for_return(back_at(clock, 5.0), StoppableClock(clock, stop), 60.0)
