"""What is known of loss timers: by plan, by recognising, by reading; what is not known is never taken for no timer."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.loss_timers.timed_devices import ToldBy
from buswalk.domain.loss_timers.timer_book import TimerBook
from buswalk.domain.loss_timers.timer_words import device_words, known_lines, not_known_words
from buswalk.domain.registers.loss_timer import IsOff, LossTimer, NotTold, RunsFor
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.samples import PointsWatched, Quality, Sample, SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.search.events import Found, Identity
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import PlanKept, SessionStarted

PLAIN = SerialSettings.of(9600, "8N1")
TIME = Point("loss_time", Table.HOLDING_REGISTERS, 43, words="time until outputs fall back", unit="s")
SPEED = Point("speed", Table.INPUT_REGISTERS, 0)
FAN = RegisterProfile("fan-drive", "drive of a fan", (SPEED,), loss_timer=LossTimer("stops", RunsFor(10.0)))
PUMP = RegisterProfile("pump-drive", "drive of a pump", (SPEED,), loss_timer=LossTimer("trips", RunsFor(5.0)))
OUTPUTS = RegisterProfile(
    "controller", "I/O controller", (TIME,), loss_timer=LossTimer("lets its outputs fall back", NotTold(), "loss_time")
)
SENSOR = RegisterProfile("sensor", "room sensor", (SPEED,))
OFF = RegisterProfile("mixer", "mixer", (TIME,), loss_timer=LossTimer("stops", IsOff(), "loss_time"))
LIBRARY = ProfileLibrary((FAN, PUMP, OUTPUTS, SENSOR, OFF))


def found(address: int, *profiles: str) -> Found:
    return Found(
        address, PLAIN, 3, is_refusal=False, answered=3, confirmations=3, doubts=(),
        identity=Identity(profiles=profiles), exchange_numbers=(1,),
    )  # fmt: skip


def planned(address: int, name: str, device_type: str = "") -> PlannedDevice:
    return PlannedDevice(address, address, name, device_type=device_type)


def read_as(book: TimerBook, address: int, *words: int) -> None:
    book.take(PointsWatched(address, PLAIN, "controller", (TIME,), 1.0))
    sample = Sample("loss_time", words, float(words[0]) if words else 0.0, Quality.GOOD)
    book.take(SamplesTaken(1, address, PLAIN, (sample,), 2.0, 0.0))


def test_the_shortest_timer_is_named_first_and_what_is_not_known_last() -> None:
    book = TimerBook(lambda: LIBRARY)

    book.take(PlanKept((planned(31, "fan, bay 1", "drive of a fan"), planned(41, "weather station")), 0.0))
    book.take(found(20, "pump-drive"))
    book.take(found(14, "controller"))
    book.take(found(24, "sensor"))

    assert known_lines(book.timers(also=[51])) == (
        "20 drive of a pump: trips after 5 s without a request, as delivered",
        "31 fan, bay 1: stops after 10 s without a request, as delivered",
        "14 I/O controller: lets its outputs fall back when nobody asks it; after how long stands in "
        "'time until outputs fall back', not read yet",
        "24, 41 and 51 may have a loss timer that is not known here: no profile tells of their type",
    )


def test_what_was_read_of_its_point_counts_rather_than_what_was_delivered() -> None:
    book = TimerBook(lambda: LIBRARY)
    book.take(found(14, "controller"))

    read_as(book, 14, 60)

    (device,) = book.timers().timed
    assert (device.setting, device.told_by) == (RunsFor(60.0), ToldBy.DEVICE)
    assert device_words(device) == (
        "14 I/O controller: lets its outputs fall back after 60 s without a request, as read from it"
    )


def test_no_answer_keeps_the_value_read_before() -> None:
    book = TimerBook(lambda: LIBRARY)
    book.take(found(14, "controller"))
    read_as(book, 14, 60)

    read_as(book, 14)

    assert book.timers().timed[0].setting == RunsFor(60.0)


def test_a_timer_read_as_off_is_no_danger_and_one_delivered_off_may_be() -> None:
    book = TimerBook(lambda: LIBRARY)
    book.take(found(14, "controller"))
    book.take(found(15, "mixer"))

    read_as(book, 14, 0)

    timers = book.timers()
    assert [one.server_address for one in timers.timed] == [15]
    assert timers.not_known == () and timers.running == ()
    assert device_words(timers.timed[0]) == (
        "15 mixer: its timer is off as delivered; if it was set since, it stops when nobody asks it"
    )


def test_of_two_types_that_it_may_be_the_one_that_reacts_first_counts() -> None:
    book = TimerBook(lambda: LIBRARY)

    book.take(found(20, "fan-drive", "pump-drive"))

    assert [one.seconds for one in book.timers().timed] == [5.0]


def test_a_type_in_the_plan_that_no_profile_has_leaves_it_not_known() -> None:
    book = TimerBook(lambda: LIBRARY)

    book.take(PlanKept((planned(31, "fan", "somebody's drive"),), 0.0))

    assert book.timers().not_known == (31,)
    assert not_known_words(book.timers()) == (
        "31 may have a loss timer that is not known here: no profile tells of its type"
    )


def test_a_line_of_which_nothing_is_known_is_not_called_safe() -> None:
    assert known_lines(TimerBook(lambda: LIBRARY).timers()) == ("devices may have a loss timer that is not known here",)


def test_another_session_begins_with_nothing() -> None:
    book = TimerBook(lambda: LIBRARY)
    book.take(found(20, "pump-drive"))

    book.take(SessionStarted("2026-03-01 08:00:00", 1.0, is_simulated=True, program="test"))

    assert book.timers().timed == ()


def test_a_profile_that_is_changed_meanwhile_counts_once_more_is_known() -> None:
    """The library is not read for every picture that is drawn."""
    libraries = [LIBRARY]
    book = TimerBook(lambda: libraries[-1])
    book.take(found(20, "pump-drive"))
    assert book.timers().timed[0].seconds == 5.0
    libraries.append(ProfileLibrary((replace(PUMP, loss_timer=LossTimer("trips", RunsFor(300.0))),)))

    book.take(found(21, "pump-drive"))

    assert [one.seconds for one in book.timers().timed] == [300.0, 300.0]
