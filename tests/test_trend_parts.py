"""What the choice of points becomes: a watch of real profiles, of devices as they were found."""

from __future__ import annotations

from pathlib import Path

from buswalk.bus.messages import Batch, StartWatch
from buswalk.domain.registers.watched_choice import ChosenDevice, WatchedChoice
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import PlanKept
from buswalk.domain.watching.plan import PointsRead
from buswalk.trend_parts import TrendDesk
from tests.fakes.analysis_at_once import AnswersAtOnce
from tests.fakes.sent_commands import SentCommands
from tests.fakes.told_line import USUAL, found, kept


def desk(folder: Path) -> TrendDesk:
    """A desk that knows 21 by the plan and by a search."""
    made = TrendDesk(AnswersAtOnce(()), str(folder))
    planned = PlannedDevice(1, 21, "air, bay 1 north", USUAL)
    told = kept(PlanKept((planned,), 0.0), found(21), found(56))
    made.take(Batch(0.0, 1.0, is_walking=True, items=tuple(told)))
    return made


def test_devices_that_answer_are_offered_with_their_names_and_every_shipped_profile(tmp_path: Path) -> None:
    ways = desk(tmp_path).ways(SentCommands(), lambda: None)

    assert [(one.server_address, one.name) for one in ways.devices()] == [(21, "air, bay 1 north"), (56, "")]
    library = ways.library()
    assert library.problems == ()
    assert library.named("air-transmitter").point("air_temperature").unit == "°C"


def test_a_choice_becomes_a_watch_of_these_points_each_second(tmp_path: Path) -> None:
    commands = SentCommands()
    ways = desk(tmp_path).ways(commands, lambda: None)
    choice = WatchedChoice((ChosenDevice(21, USUAL, "air-transmitter", ("air_temperature",)),))

    told = ways.start(choice)

    plan = commands.of(StartWatch)[0].plan
    reading = plan.devices[0].reading
    assert isinstance(reading, PointsRead)
    assert (reading.profile.name, reading.names) == ("air-transmitter", ("air_temperature",))
    assert plan.period_s == 1.0
    assert "listened to first" in told


def test_a_profile_that_is_gone_is_told_and_nothing_starts(tmp_path: Path) -> None:
    commands = SentCommands()

    told = desk(tmp_path).ways(commands, lambda: None).start(WatchedChoice((ChosenDevice(21, USUAL, "gone", ("a",)),)))

    assert told.startswith("Not watched: no profile is called 'gone'")
    assert commands.sent == []


def test_a_point_that_the_profile_has_no_more_is_told(tmp_path: Path) -> None:
    commands = SentCommands()

    told = (
        desk(tmp_path)
        .ways(commands, lambda: None)
        .start(WatchedChoice((ChosenDevice(21, USUAL, "air-transmitter", ("gone",)),)))
    )

    assert told.startswith("Not watched: ")
    assert commands.sent == []
