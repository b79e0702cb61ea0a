"""The limit of restarts, on a clock of the test's own."""

from __future__ import annotations

from buswalk.bus.kept_process import RestartLimit


class HandClock:
    """Goes when it is told to."""

    def __init__(self) -> None:
        self.now_s = 0.0


def test_three_restarts_within_a_minute_are_granted_and_no_fourth() -> None:
    clock = HandClock()
    limit = RestartLimit(lambda: clock.now_s)

    granted = []
    for clock.now_s in (0.0, 10.0, 20.0, 59.9):
        granted.append(limit.may_restart())

    assert granted == [True, True, True, False]


def test_after_a_quiet_minute_restarts_are_granted_again() -> None:
    clock = HandClock()
    limit = RestartLimit(lambda: clock.now_s)
    for clock.now_s in (0.0, 1.0, 2.0):
        limit.may_restart()

    clock.now_s = 60.5

    assert limit.may_restart()
