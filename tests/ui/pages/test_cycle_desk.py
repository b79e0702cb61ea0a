"""What the page says of a cycle: figures that are worked by hand from 55 ms of characters a device."""

from __future__ import annotations

import pytest

from buswalk.bus.messages import Kept
from buswalk.domain.registers.samples import PointsWatched, Quality, Sample, SamplesTaken
from buswalk.domain.visit.session_events import JobStarted
from buswalk.ui.pages.cycle_desk import NOTHING_YET, CycleDesk
from tests.fakes.measured_cycle import E1, FORECASTED
from tests.fakes.watched_greenhouse import AIR


def measured() -> CycleDesk:
    """A desk that was told a forecast."""
    desk = CycleDesk()
    desk.take(Kept(1, FORECASTED, 30.0))
    return desk


def test_the_cycle_its_parts_and_what_would_help_stand_there_with_units() -> None:
    """334 ms, and 0.9 s of each 15 s for the dead one: 334 / 0.94 is 355 ms."""
    state = measured().state

    assert state.cycle == "355 ms"
    assert state.told == "One cycle: 4 requests to 2 devices, as measured."
    assert state.parts[0].words == "the adapter and this computer"
    assert state.parts[0].figure == "128 ms, 36 %"
    assert state.parts[0].share == pytest.approx(0.128 / 0.355, rel=0.01)
    assert state.helps[0].words == "an adapter that hands over after 1 ms"
    assert state.sentences[-1] == "Silent, and asked rarely: 23."


def test_nothing_is_told_before_something_is_chosen() -> None:
    state = measured().state.what_if

    assert state.bars == ()
    assert state.sentences == ()
    assert state.like.words == ("these", "21", "22", "23")


def test_another_speed_stands_beside_the_cycle_now() -> None:
    desk = measured()

    desk.choose_speed(5)
    state = desk.state.what_if

    assert state.speeds.words[state.speeds.chosen] == "19200 baud"
    assert [one.words for one in state.bars] == ["now", "then", "if all are asked"]
    assert [one.figure for one in state.bars[:2]] == ["355 ms", "288 ms"]
    assert state.sentences[0] == "At 19200 baud: a cycle would take 288 ms instead of 355 ms, 19 % less."


def test_a_time_out_that_is_too_short_for_a_device_is_said() -> None:
    """22 was seen to take 250 ms."""
    desk = measured()

    desk.choose_time_out(4)

    assert desk.state.what_if.sentences[-1].startswith("But 22 was seen to take up to 250 ms")


def test_more_devices_like_one_and_silent_ones_work_together() -> None:
    desk = measured()

    desk.choose_more(3)
    desk.choose_like(1)
    desk.type_silent("22 to 23")

    assert desk.state.what_if.sentences[0].startswith(
        "With 3 more devices like 21, with 22, 23 silent: a cycle of the 4 that would still answer would take "
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("abc", "'abc' is no address: write such as 21, 24 to 26."),
        ("0", "'0' cannot be: addresses are 1 to 247, the lower one first."),
        ("23-21", "'23-21' cannot be: addresses are 1 to 247, the lower one first."),
        ("99", "99 is not watched: 21 to 23 are."),
        ("", ""),
    ],
)
def test_addresses_that_cannot_be_are_one_sentence(text: str, says: str) -> None:
    desk = measured()

    desk.type_silent(text)

    assert desk.state.what_if.problem == says
    assert desk.state.what_if.bars == ()


def test_while_it_is_measured_it_is_said_how_far() -> None:
    desk = CycleDesk()
    desk.take(Kept(1, PointsWatched(21, E1, "room-air", (AIR,), 0.0), 0.0))
    for row, quality in enumerate((Quality.GOOD, Quality.NO_REPLY, Quality.GOOD), start=2):
        desk.take(Kept(row, SamplesTaken(row, 21, E1, (Sample("air", (1,), 0.1, quality),), 1.0, 0.0), 1.0))

    assert desk.state.cycle == ""
    assert desk.state.told.startswith("Being measured: 2 of 20 answers of 21 so far")


def test_another_watch_begins_anew() -> None:
    desk = measured()

    desk.take(Kept(2, JobStarted(2, "watch", 40.0), 40.0))

    assert desk.state.told == NOTHING_YET
