"""How often points are read, which profile is proposed, and what is said of points that are not told."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.bus.messages import Kept, StartWatch
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.read_plan import WhyLeftOut
from buswalk.domain.registers.samples import PointsWatched
from buswalk.domain.registers.watched_choice import ChosenDevice, WatchedChoice
from buswalk.domain.watching.events import PointNotRead, PointRefused, PointTold
from buswalk.domain.watching.plan import PointPeriod, PointsRead, Retries
from buswalk.ui.pages.trend.period_words import seconds_of
from buswalk.ui.pages.trend.ways import KnownDevice
from tests.fakes.sent_commands import SentCommands
from tests.fakes.watched_greenhouse import AIR, CO2, HUMIDITY, USUAL, watched_items
from tests.test_trend_parts import desk
from tests.ui.pages.trend.test_trend_presenter import Page

ROOM = RegisterProfile("room-air", "Room air", (AIR, HUMIDITY, CO2))
METER = RegisterProfile("meter", "A meter", (AIR,))


def offered() -> Page:
    """A page on which 21 is known, recognised as room air; nothing is watched yet."""
    page = Page()
    page.parts.devices = (KnownDevice(21, USUAL, "bay 1", ("room-air",)), KnownDevice(56, USUAL))
    page.parts.library = ProfileLibrary((METER, ROOM))
    page.presenter.pick()
    return page


def test_the_profile_that_a_device_was_recognised_by_stands_first() -> None:
    page = offered()

    recognised = page.presenter.state.pick.profiles
    page.presenter.picking.choose_device(1)

    assert recognised == ("recognised: Room air", "A meter")
    assert page.presenter.state.pick.profiles == ("A meter", "Room air")


def test_a_point_and_a_device_have_periods_of_their_own_and_the_watch_gets_them() -> None:
    page = offered()
    page.presenter.picking.offer(0, 0)
    _ = page.presenter.state
    for row in range(3):
        page.presenter.picking.toggle(row)

    page.presenter.picking.read_device_every(0, "5")
    page.presenter.picking.read_point_every(2, "60 s")
    page.presenter.picking.choose_retries(2)
    pick = page.presenter.state.pick
    page.presenter.main_action()

    (device,) = page.parts.started[0].devices
    assert (device.period_s, device.periods) == (5.0, (PointPeriod("co2", 60.0),))
    assert page.parts.started[0].retries.most == 2
    assert [row[-1].words for row in pick.rows] == ["F5 watches it, every 5 s"] * 2 + ["F5 watches it, every 60 s"]
    assert pick.periods == "All others each second; 21 every 5 s; co2 of 21 every 60 s: from the next watch on."
    assert pick.retries == 2


def test_periods_are_kept_when_the_watch_says_what_it_watches() -> None:
    page = offered()
    page.presenter.picking.offer(0, 0)
    _ = page.presenter.state
    page.presenter.picking.toggle(0)
    page.presenter.picking.read_point_every(0, "7")

    page.presenter.take(Kept(9, PointsWatched(21, USUAL, "room-air", (AIR,), 1.0), 1.0))

    assert page.presenter.picking.choice.devices[0].period_of("air") == 7.0


@pytest.mark.parametrize("text", ["", "often", "0", "-1", "nan", "100000"])
def test_what_is_no_period_is_said_and_changes_nothing(text: str) -> None:
    page = offered()
    page.presenter.picking.offer(0, 0)
    _ = page.presenter.state
    page.presenter.picking.toggle(0)

    page.presenter.picking.read_point_every(0, text)

    assert "eriod" in page.presenter.state.pick.problem
    assert page.presenter.picking.choice.devices[0].periods == ()


def test_a_decimal_comma_is_a_period_too() -> None:
    assert seconds_of("0,5 s") == 0.5


def test_a_point_that_is_not_watched_has_no_period() -> None:
    page = offered()
    page.presenter.picking.offer(0, 0)
    _ = page.presenter.state

    page.presenter.picking.read_point_every(0, "5")

    assert page.presenter.state.pick.problem.startswith("Choose a point that is watched first")


def test_the_watch_of_the_window_has_the_periods_and_retries_of_the_choice(tmp_path: Path) -> None:
    commands = SentCommands()
    choice = WatchedChoice(
        (
            ChosenDevice(
                21, USUAL, "air-transmitter", ("air_temperature",), 5.0, (PointPeriod("air_temperature", 9.0),)
            ),
        ),
        Retries(1),
    )

    desk(tmp_path).ways(commands, lambda: None).start(choice)

    plan = commands.of(StartWatch)[0].plan
    reading = plan.devices[0].reading
    assert isinstance(reading, PointsRead)
    assert (plan.devices[0].period_s, reading.periods) == (5.0, (PointPeriod("air_temperature", 9.0),))
    assert plan.retries == Retries(1)


def test_a_refused_point_is_said_in_words_until_it_is_told_again() -> None:
    """Exception 02 is 'illegal data address' (Application V1.1b3, 7)."""
    page = Page(watched_items(5))
    settings = SerialSettings(9600, Parity.NONE, 1)

    page.presenter.take(Kept(900, PointRefused(21, settings, "co2", 2, told_before=True, at_s=6.0), 6.0))
    refused = page.presenter.state.sentence
    page.presenter.pick()
    rows = page.presenter.state.pick.rows
    page.presenter.take(Kept(901, PointTold(21, settings, "co2", 7.0), 7.0))

    words = "refused, exception 02: illegal data address; told before, so its map has changed"
    assert refused.endswith(f"CO2 of 21 is {words}.")
    assert words in [row[-1].words for row in rows]
    assert "refused" not in page.presenter.state.sentence


def test_points_that_are_not_read_at_all_are_counted_and_named_in_the_list() -> None:
    page = Page(watched_items(5))

    for name in ("air", "humidity"):
        page.presenter.take(Kept(900, PointNotRead(21, USUAL, name, WhyLeftOut.ONLY_WRITTEN, 6.0), 6.0))
    page.presenter.pick()

    assert "2 points are not told: F2 says why." in page.presenter.state.sentence
    words = [row[-1].words for row in page.presenter.state.pick.rows]
    assert words.count("not read: the list says that it can only be written") == 2


def test_the_mark_button_asks_for_a_mark() -> None:
    page = Page(watched_items(5))

    page.presenter.mark()

    assert page.parts.marked == 1
