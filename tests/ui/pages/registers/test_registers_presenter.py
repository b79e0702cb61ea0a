"""What the page Registers says and sends. Oracles: struct for the float, the standard for addresses and codes."""

from __future__ import annotations

import struct

from buswalk.bus.messages import StartWatch
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.registers.samples import PointsWatched
from buswalk.domain.search.events import LivingLine
from buswalk.domain.search.events import Verdict as LineVerdict
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, PlanKept
from buswalk.domain.watching.plan import PointsRead, WatchEnd
from buswalk.ui.tones import Tone
from tests.fakes.registers_stage import (
    BAY_1,
    POINTS,
    controller_found,
    read,
    samples,
    told,
)
from tests.fakes.told_line import USUAL, copper_opened, kept
from tests.ui.pages.registers.registers_bench import Page, words


def test_the_profile_that_the_device_names_is_proposed_first() -> None:
    state = Page(told()).presenter.state

    assert state.devices.words == ("11, controller P, bay 1", "0, all devices at once")
    assert state.profiles.words == (
        "controller P, fits",
        "room sensor, names another type",
        "no profile: raw addresses",
    )
    assert state.profiles.chosen == 0
    assert state.sentence.startswith("7 points, not read yet. One read is ")


def test_each_point_stands_with_its_value_its_words_and_its_address_in_three_notations() -> None:
    """Reference numbers: table digit, then the number from 1 (a custom); wire addresses from 0 (V1.1b3, 4.4)."""
    page = Page(read(at_s=11.6))

    assert struct.unpack(">f", bytes.fromhex("4419199A"))[0] == struct.unpack(">f", struct.pack(">f", 612.4))[0]
    assert words(page.row("Supply air")) == ["Supply air", "21.5 °C", "0.4 s", "00D7", "0 / 0x0000", "1", "30001", ""]
    assert words(page.row("CO2 of 21, mirrored"))[1:7] == [
        "612.4 ppm",
        "0.4 s",
        "199A 4419",
        "102 / 0x0066",
        "103",
        "40103",
    ]
    assert words(page.row("Input registers, function 04"))[0] == "Input registers, function 04"


def test_no_value_and_refusals_are_said_in_words() -> None:
    """Exception 02 is 'illegal data address' (V1.1b3, 7)."""
    page = Page(read())

    pipe, humidity = page.row("Pipe"), page.row("Humidity of 24")
    assert (pipe[1].words, pipe[7].words, pipe[1].tone) == ("◇ no value", "0x8000", Tone.DOUBT)
    assert (humidity[1].words, humidity[7].words) == ("refused", "02: no such register")
    assert page.presenter.state.sentence.startswith("7 points: 4 read well, 1 without value, 1 refused.")


def test_every_reading_of_the_focused_words_has_its_verdict() -> None:
    """0x4419199A is 612.4; as 32 bits without sign it is 1142495642, low word first."""
    page = Page(read())

    page.focus("CO2 of 21, mirrored")

    readings = page.presenter.state.readings
    first = readings.rows[0]
    assert (readings.title, readings.raw_words) == ("Every reading of 102 – 103", "199A 4419")
    assert [cell.words for cell in first] == ["float, low word first", "612.4 ppm", "fits"]
    assert struct.unpack(">I", bytes.fromhex("4419199A"))[0] == 1142495642
    by_words = {row[0].spoken: (row[1].words.replace("\u202f", ""), row[2].words) for row in readings.rows}
    assert by_words["uint32, low word first"][0] == "1142495642"
    assert by_words["float, high word first"][1] == "absurd"
    below = " ".join(readings.below)
    assert "300.0 to 5000.0 ppm" in below
    assert "as sent 102 = 0x0066 = number 103 = 40103 = 400103" in below


def test_f5_reads_once_and_a_period_watches() -> None:
    """What reading clears is not among what is read."""
    page = Page(told())

    page.presenter.main_action()
    page.take(kept(JobStarted(1, "watch", 12.0), JobEnded(1, "watch", JobEndKind.FINISHED, "", 13.0)))
    page.presenter.choose_period(1)
    page.presenter.main_action()

    once, again = (one.plan for one in page.commands.of(StartWatch))
    reading = once.devices[0].reading
    assert isinstance(reading, PointsRead)
    assert reading.names == tuple(one.name for one in POINTS[:-1])
    assert (once.end, once.listen_s, again.end, again.period_s) == (
        WatchEnd.AFTER_ONE_ROUND,
        10.0,
        WatchEnd.WHEN_STOPPED,
        1.0,
    )


def test_a_line_that_was_heard_to_be_silent_is_not_listened_to_again() -> None:
    silent = ListeningEnded(USUAL, 10.0, LineVerdict.SILENT, 0, ())
    page = Page([*told(), *kept(silent)])

    page.presenter.main_action()

    assert page.commands.of(StartWatch)[0].plan.listen_s == 0.0


def test_beside_another_client_nothing_is_read_until_that_is_said() -> None:
    page = Page(told())
    page.presenter.main_action()
    living = LivingLine(LineVerdict.TRAFFIC, "something is sending on this line; nothing was asked")
    page.take(kept(JobStarted(1, "watch", 12.0), living, JobEnded(1, "watch", JobEndKind.FINISHED, "", 22.0)))

    assert page.presenter.state.main_words == "Ask nothing"
    assert page.presenter.has_question
    page.presenter.reading.start_beside()

    assert [one.plan.may_ask_living_line for one in page.commands.of(StartWatch)] == [False, True]


def test_f5_twice_out_of_habit_asks_nothing_beside_another_client() -> None:
    page = Page(told())
    page.presenter.main_action()
    living = LivingLine(LineVerdict.TRAFFIC, "something is sending on this line; nothing was asked")
    page.take(kept(JobStarted(1, "watch", 12.0), living, JobEnded(1, "watch", JobEndKind.FINISHED, "", 22.0)))

    page.presenter.main_action()

    assert len(page.commands.of(StartWatch)) == 1
    assert not page.presenter.has_question


def test_what_reading_clears_is_read_after_a_second_enter() -> None:
    page = Page(told())
    page.focus("Alarms")

    page.presenter.read_point()
    assert page.commands.sent == []
    assert page.presenter.state.sentence == "Reading clears Alarms: Enter once more reads it."
    page.presenter.read_point()

    reading = page.commands.of(StartWatch)[0].plan.devices[0].reading
    assert isinstance(reading, PointsRead)
    assert reading.names == ("alarms",)


def test_other_devices_that_are_watched_are_watched_on() -> None:
    other = PointsWatched(21, USUAL, "room-sensor", POINTS[:1], 5.0)
    page = Page([*told(), *kept(JobStarted(1, "watch", 4.0), other)])
    page.presenter.choose_period(1)

    page.presenter.main_action()
    page.take(kept(JobEnded(1, "watch", JobEndKind.STOPPED, "", 13.0)))

    assert page.commands.stops == 1
    assert [one.server_address for one in page.commands.of(StartWatch)[0].plan.devices] == [21, 11]


def test_the_whole_list_moves_by_one() -> None:
    page = Page(read())

    page.presenter.shift(2)

    assert page.row("Supply air")[4].words == "1 / 0x0001"
    assert page.row("Supply air")[1].words == "not read"


def test_without_a_profile_raw_addresses_are_read_in_the_notation_that_is_stated() -> None:
    """40001 of five digits is the holding register that is sent as 0."""
    page = Page(told())
    page.presenter.choose_profile(2)

    page.presenter.choose_raw(0, 3, "40011", "2")

    assert [row[4].words for row in page.presenter.state.points.rows[1:]] == ["10 / 0x000A", "11 / 0x000B"]
    page.presenter.choose_raw(0, 3, "30011", "2")
    raw = page.presenter.state.raw
    assert raw is not None
    assert raw.problem.startswith("30011 names the input registers")


def test_address_0_is_never_read() -> None:
    page = Page(told())

    page.presenter.choose_device(1)
    page.presenter.main_action()

    assert page.commands.sent == []
    assert page.presenter.state.main_refusal.startswith("address 0 is never read")


def test_a_planned_device_can_be_chosen_before_it_was_found() -> None:
    late = PlannedDevice(2, 14, "controller P, bay 2", USUAL)
    page = Page([*copper_opened(), *kept(PlanKept((BAY_1, late), 0.0), controller_found())])

    assert page.presenter.state.devices.words[1] == "14, controller P, bay 2 (planned)"


def test_what_moved_in_the_last_minute_is_said() -> None:
    page = Page(read())
    page.take(kept(samples(11.0, {"supply_air": (0x00D8,)})))

    assert page.presenter.state.readings.below[0].startswith("Moved by ")
