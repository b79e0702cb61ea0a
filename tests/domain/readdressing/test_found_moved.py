"""Found devices after one of them was moved."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.events import LookedAfter, PlacesLooked
from buswalk.domain.readdressing.found_moved import all_moved
from buswalk.domain.readdressing.plan import Reach
from tests.fakes.told_line import found

SLOW, ASKED_SLOW = SerialSettings.of(4800, "8N1"), SerialSettings.of(4800, "8N2")
FAST = SerialSettings.of(19_200, "8E1")
OLD, NEW, FASTER = Reach(1, SLOW), Reach(45, SLOW), Reach(45, FAST)


def looked(*answered: Reach) -> PlacesLooked:
    return PlacesLooked(LookedAfter.WRITING, (OLD, NEW, FASTER), answered, 1.0)


def test_the_device_is_where_alone_an_answer_came_and_the_others_stay() -> None:
    """A search asks with two stop bits; it is the same place."""
    probe, other = found(1, ASKED_SLOW), found(11, ASKED_SLOW)

    moved, stayed = all_moved((probe, other), looked(FASTER))

    assert (moved.server_address, moved.settings, moved.identity) == (45, FAST, probe.identity)
    assert stayed is other


def test_where_none_or_several_answer_nothing_is_guessed() -> None:
    probe = found(1, ASKED_SLOW)

    for answered in ((), (OLD, NEW)):
        assert all_moved((probe,), looked(*answered)) == (probe,)


def test_a_device_of_that_address_at_another_speed_is_another_one() -> None:
    other = found(1, FAST)

    assert all_moved((other,), looked(NEW)) == (other,)


def test_a_device_that_stayed_is_the_same_as_before() -> None:
    probe = found(1, ASKED_SLOW)

    assert all_moved((probe,), looked(OLD))[0] is probe
