"""The stop request at which the engine looks at what has arrived meanwhile."""

from __future__ import annotations

import pytest

from buswalk.bus.looking_stop import LookingStop
from buswalk.jobs.asking.stopped import Stopped


def test_each_check_looks_whether_or_not_a_stop_was_asked_for() -> None:
    looks: list[str] = []
    stop = LookingStop(lambda: looks.append("look"))

    stop.check()
    stop.check()

    assert looks == ["look", "look"]


def test_a_stop_that_is_seen_in_a_look_is_raised_in_the_same_check() -> None:
    """A command that ends the job must not wait for the job's next wait."""
    stop = LookingStop(lambda: stop.set())

    with pytest.raises(Stopped):
        stop.check()


def test_a_renewed_request_has_forgotten_the_stop_and_can_be_set_again() -> None:
    stop = LookingStop(lambda: None)
    stop.set()

    stop.renew()
    stop.check()
    stop.set()

    with pytest.raises(Stopped):
        stop.check()
