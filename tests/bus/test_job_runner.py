"""A stop request is looked at in every wait, at least each 50 ms, and raised once."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from buswalk.bus.job_runner import (
    LOOK_EVERY_S,
    Finished,
    JobEnd,
    PortLost,
    StoppableClock,
    StoppableLine,
    StoppedByUser,
    run_job,
)
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.jobs.asking.stopped import Stopped
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine


class StoppingClock(JumpingClock):
    """Sets the stop request when time has come to `at_s`, as a signal would in the middle of a wait."""

    def __init__(self, stop: StopRequest, at_s: float) -> None:
        super().__init__()
        self._stop = stop
        self._at_s = at_s

    def sleep_until(self, time_s: float) -> None:
        super().sleep_until(time_s)
        if self.now_s() >= self._at_s:
            self._stop.set()


def test_a_wait_ends_within_one_look_of_the_stop() -> None:
    stop = StopRequest()
    inner = StoppingClock(stop, 1.0)
    clock = StoppableClock(inner, stop)

    with pytest.raises(Stopped):
        clock.sleep_until(60.0)

    assert 1.0 <= inner.now_s() <= 1.0 + LOOK_EVERY_S + 1e-9


def test_a_read_ends_within_one_look_of_the_stop() -> None:
    stop = StopRequest()
    inner = StoppingClock(stop, 1.0)
    line = StoppableLine(ReplayingLine(inner), inner, stop)

    with pytest.raises(Stopped):
        line.read(60.0)

    assert 1.0 <= inner.now_s() <= 1.0 + LOOK_EVERY_S + 1e-9


def test_nothing_is_sent_after_a_stop() -> None:
    stop = StopRequest()
    clock = JumpingClock()
    inner = ReplayingLine(clock)
    stop.set()

    with pytest.raises(Stopped):
        StoppableLine(inner, clock, stop).write(b"\x01")

    assert inner.writes == []


def test_a_stop_is_raised_once_so_that_its_catcher_may_wait_to_end_in_order() -> None:
    stop = StopRequest()
    clock = JumpingClock()
    line = StoppableLine(ReplayingLine(clock), clock, stop)
    stop.set()
    with pytest.raises(Stopped):
        line.read(1.0)

    assert line.read(1.0) is None
    assert clock.now_s() == 1.0


def test_without_a_stop_a_read_lasts_to_its_deadline_and_bytes_end_it() -> None:
    clock = JumpingClock()
    inner = ReplayingLine(clock)
    line = StoppableLine(inner, clock, StopRequest())
    inner.play(0.33, b"\x42")

    first, second = line.read(1.0), line.read(1.0)

    assert first is not None and first.data == b"\x42" and first.not_after_s == 0.33
    assert second is None and clock.now_s() == 1.0


def test_a_deadline_that_has_passed_still_looks_once() -> None:
    clock = JumpingClock()
    inner = ReplayingLine(clock)
    inner.play(0.5, b"\x42")
    clock.sleep_until(2.0)

    arrival = StoppableLine(inner, clock, StopRequest()).read(1.0)

    assert arrival is not None and arrival.data == b"\x42"


def test_settings_and_waiting_bytes_pass_through() -> None:
    clock = JumpingClock()
    inner = ReplayingLine(clock)
    line = StoppableLine(inner, clock, StopRequest())
    inner.play(0.0, b"\x01")

    line.apply(SerialSettings.of(19200, "8E1"))

    assert line.settings == inner.settings == SerialSettings.of(19200, "8E1")
    assert [one.data for one in line.discard()] == [b"\x01"]


def job(*events: int, error: Exception | None = None) -> Iterator[int]:
    """Yield these, then end, or raise."""
    yield from events
    if error is not None:
        raise error


@pytest.mark.parametrize(
    ("error", "end"),
    [
        (None, Finished()),
        (Stopped(), StoppedByUser()),
        (PortError("COM7", PortProblem.VANISHED, "COM7 is gone"), PortLost("COM7", "COM7 is gone")),
    ],
)
def test_each_way_to_end_has_a_name_and_what_was_said_before_stands(error: Exception | None, end: JobEnd) -> None:
    shown: list[int] = []

    result = run_job(job(1, 2, error=error), shown.append)

    assert result == end
    assert shown == [1, 2]


def test_a_port_that_refuses_is_no_lost_port() -> None:
    refused = PortError("COM7", PortProblem.SETTINGS_REFUSED, "COM7 does not take 9601 8N1")

    with pytest.raises(PortError):
        run_job(job(error=refused), lambda _: None)
