"""One device set to another address or speed, in virtual time: every place where it can be afterwards.

Truth is what the device listens to. That an address may act at once, after a restart, or never, is practice; no
standard says how it is set.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.readdressing.events import (
    CompanyLooked,
    LookedAfter,
    OldSettingsRead,
    PlacesLooked,
    ReaddressBegun,
    ReaddressEnd,
    ReaddressEnded,
    ReaddressEvent,
    RestartSeen,
    RestartWanted,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import Reach, ReaddressPlan, RegisterValue
from buswalk.domain.registers.writing.events import WriteAnswer
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_guard import GuardRefusal
from buswalk.jobs.readdressing import Readdressing, readdress
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import EXAMPLE, written_site
from tests.fakes.written_line import WrittenLine

Kind = TypeVar("Kind")
SLOW, FAST = SerialSettings.of(9600, "8N1"), SerialSettings.of(19_200, "8E1")
OLD = Reach(37, SLOW)
ADDRESS, SPEED = RegisterValue(10, 42), RegisterValue(11, 4)
CODES = 'address_register = 10\nspeed_register = 11\nspeed_codes = [{ code = 4, settings = "19200 8E1" }]\n'
TO_ADDRESS = ReaddressPlan(OLD, Reach(42, SLOW), (ADDRESS,), "as planned", company=(36, 37, 38), restart_within_s=60.0)
TO_SPEED = replace(TO_ADDRESS, after=Reach(37, FAST), writes=(SPEED,))
TO_BOTH = replace(TO_ADDRESS, after=Reach(42, FAST), writes=(ADDRESS, SPEED))
NEIGHBOUR = '\n[[device]]\nname = "neighbour"\naddress = {}\nsettings = "9600 8N1"\nplace = 2\n'


def moved_site(folder: Path, habits: str, neighbour: int = 0) -> SimulatedSite:
    """Return server 37 with these habits, perhaps with somebody beside it."""
    beside = NEIGHBOUR.format(neighbour) if neighbour else ""
    return written_site(folder, f"{EXAMPLE}[device.habits]\n{habits}{beside}")


class Moved:
    """One run; the supply is cycled some seconds after it was asked for, unless nobody is at the device."""

    def __init__(self, site: SimulatedSite, plan: ReaddressPlan, *, somebody_is_there: bool = True) -> None:
        self.line = WrittenLine(site)
        self.events: list[ReaddressEvent | Heard | ListeningEnded] = []
        self.device = site.devices["example"]
        for event in readdress(self.line.asker, self.line.lock, plan):
            self.events.append(event)
            if isinstance(event, RestartWanted) and somebody_is_there:
                site.timeline.at(site.timeline.now_s() + 7.0, self._cycle)

    def _cycle(self) -> None:
        self.line.site.hands.power_cycle("example")

    @property
    def end(self) -> ReaddressEnded:
        last = self.events[-1]
        assert isinstance(last, ReaddressEnded)
        return last

    @property
    def true_reach(self) -> Reach:
        return Reach(self.device.addresses[0], self.device.receiver_settings)

    def of(self, kind: type[Kind]) -> list[Kind]:
        return [one for one in self.events if isinstance(one, kind)]


@pytest.mark.parametrize("plan", [TO_ADDRESS, TO_SPEED, TO_BOTH], ids=["address", "speed", "both"])
@pytest.mark.parametrize(
    ("habit", "end"),
    [
        ("", ReaddressEnd.MOVED_AT_ONCE),
        ('write_effect = "after_restart"\n', ReaddressEnd.MOVED_AFTER_RESTART),
        ('write_effect = "ignored"\n', ReaddressEnd.NOT_MOVED),
    ],
    ids=["at once", "after a restart", "ignored"],
)
def test_the_device_is_found_wherever_it_went(
    tmp_path: Path, plan: ReaddressPlan, habit: str, end: ReaddressEnd
) -> None:
    moved = Moved(moved_site(tmp_path, habit + CODES), plan)

    assert moved.end.end is end
    assert moved.end.where == (moved.true_reach,)
    assert moved.true_reach == (plan.before if end is ReaddressEnd.NOT_MOVED else plan.after)
    assert bool(moved.of(RestartSeen)) == (end is not ReaddressEnd.MOVED_AT_ONCE)


def test_all_four_places_are_looked_at(tmp_path: Path) -> None:
    moved = Moved(moved_site(tmp_path, CODES), TO_BOTH)

    (*_, last) = moved.of(PlacesLooked)
    assert isinstance(last, PlacesLooked)
    assert set(last.asked) == {Reach(37, SLOW), Reach(42, SLOW), Reach(37, FAST), Reach(42, FAST)}


def test_the_second_write_goes_to_where_the_first_has_led(tmp_path: Path) -> None:
    """The new address acts at once, so the speed is written to the new address."""
    moved = Moved(moved_site(tmp_path, CODES), TO_BOTH)

    assert [one.to for one in moved.of(SettingWritten)] == [Reach(37, SLOW), Reach(42, SLOW)]


def test_what_is_half_taken_is_told_where_it_is(tmp_path: Path) -> None:
    """The type knows no speed register."""
    moved = Moved(moved_site(tmp_path, "address_register = 10\n"), TO_BOTH)

    assert moved.end.end is ReaddressEnd.PARTLY_MOVED
    assert moved.end.where == (Reach(42, SLOW),)


def test_a_device_that_went_elsewhere_is_lost_and_what_was_written_is_told(tmp_path: Path) -> None:
    """The list of codes was wrong: 4 is 38400 here."""
    codes = 'speed_register = 11\nspeed_codes = [{ code = 4, settings = "38400 8N1" }]\n'
    moved = Moved(moved_site(tmp_path, codes), TO_SPEED)

    assert moved.end.end is ReaddressEnd.LOST
    assert moved.end.where == ()
    assert "search with it alone" in moved.end.sentence
    assert [one.written for one in moved.of(SettingWritten)] == [SPEED]


def test_without_a_restart_it_is_said_that_none_was_seen(tmp_path: Path) -> None:
    moved = Moved(moved_site(tmp_path, 'write_effect = "after_restart"\n' + CODES), TO_ADDRESS, somebody_is_there=False)

    assert moved.end.end is ReaddressEnd.NOT_MOVED
    assert "no restart was seen" in moved.end.sentence
    assert moved.of(RestartSeen) == []
    assert moved.of(RestartWanted)


def test_a_device_that_saves_first_is_moved_by_saving(tmp_path: Path) -> None:
    plan = replace(TO_ADDRESS, writes=(ADDRESS, RegisterValue(15, 1)))

    moved = Moved(moved_site(tmp_path, 'write_effect = "after_save"\nsave_register = 15\n' + CODES), plan)

    assert moved.end.end is ReaddressEnd.MOVED_AT_ONCE


@pytest.mark.parametrize(("neighbour", "words"), [(38, "others answer too: 38"), (42, "answers already")])
def test_nothing_is_written_where_somebody_else_is(tmp_path: Path, neighbour: int, words: str) -> None:
    moved = Moved(moved_site(tmp_path, CODES, neighbour), TO_ADDRESS)

    assert moved.end.end is ReaddressEnd.GIVEN_UP
    assert words in moved.end.sentence
    assert moved.of(SettingWritten) == []
    assert {request[1] for request in moved.line.requests} == {0x03}


def test_company_that_was_confirmed_is_told_and_does_not_hinder(tmp_path: Path) -> None:
    moved = Moved(moved_site(tmp_path, CODES, 38), replace(TO_ADDRESS, may_have_company=True))

    (company,) = moved.of(CompanyLooked)
    assert isinstance(company, CompanyLooked)
    assert (company.asked, company.others) == (2, (38,))
    assert moved.end.end is ReaddressEnd.MOVED_AT_ONCE


def test_nothing_is_written_to_who_does_not_answer(tmp_path: Path) -> None:
    moved = Moved(moved_site(tmp_path, CODES), replace(TO_ADDRESS, before=Reach(39, SLOW), company=(40,)))

    assert moved.end.end is ReaddressEnd.GIVEN_UP
    assert "39 at 9600 8N1" in moved.end.sentence


def test_a_refusal_is_told_and_the_device_stays(tmp_path: Path) -> None:
    plan = replace(TO_ADDRESS, writes=(RegisterValue(900, 42),))

    moved = Moved(moved_site(tmp_path, CODES), plan)

    (written,) = moved.of(SettingWritten)
    assert isinstance(written, SettingWritten)
    assert (written.answer, written.exception_code) == (WriteAnswer.REFUSED, 2)
    assert moved.end.end is ReaddressEnd.NOT_MOVED


def test_nothing_leaves_while_writing_is_locked(tmp_path: Path) -> None:
    line = WrittenLine(moved_site(tmp_path, CODES), is_unlocked=False)

    with pytest.raises(GuardRefusal, match="locked"):
        list(readdress(line.asker, line.lock, TO_ADDRESS))

    assert line.requests == []


def test_a_stop_waits_until_the_device_has_been_looked_for(tmp_path: Path) -> None:
    line = WrittenLine(moved_site(tmp_path, CODES))
    said: list[ReaddressEvent | Heard | ListeningEnded] = []

    with pytest.raises(Stopped):
        for event in readdress(line.asker, line.lock, TO_ADDRESS):
            said.append(event)
            if isinstance(event, SettingWritten):
                line.stop.set()

    assert isinstance(said[0], ReaddressBegun)
    assert isinstance(said[-1], PlacesLooked)
    assert said[-1].answered == (Reach(42, SLOW),)


def test_stop_bits_alone_cannot_be_seen_and_beside_an_address_do_not_matter() -> None:
    """Receivers test the first stop bit only."""
    two_stop_bits = SerialSettings.of(9600, "8N2")

    with pytest.raises(ValueError, match="stop bit"):
        replace(TO_ADDRESS, after=Reach(37, two_stop_bits))
    plan = replace(TO_ADDRESS, after=Reach(42, two_stop_bits))
    assert plan.places == (Reach(37, SLOW), Reach(42, SLOW))
    assert plan.goal == Reach(42, SLOW)


TWIN = """
[[device]]
name = "twin"
type = "twin"
address = 37
settings = "9600 8N1"
place = 2

[device.habits]
address_register = 10
turnaround = {{ least_s = {0}, median_s = {0} }}
"""
ONE_TURNAROUND = "turnaround = { least_s = 0.01, median_s = 0.01 }\n"


@pytest.mark.parametrize("second_s", [0.0115625, 0.026], ids=["into the reply of the first", "behind it"])
def test_nothing_is_written_where_two_share_the_address(tmp_path: Path, second_s: float) -> None:
    """Both would take the write, and both would be at the new address."""
    site = written_site(tmp_path, f"{EXAMPLE}[device.habits]\n{CODES}{ONE_TURNAROUND}{TWIN.format(second_s)}")

    moved = Moved(site, TO_ADDRESS)

    assert moved.end.end is ReaddressEnd.GIVEN_UP
    assert "two" in moved.end.sentence
    assert moved.of(SettingWritten) == []
    assert [site.devices[one].addresses[0] for one in ("example", "twin")] == [37, 37]


def test_what_the_registers_held_is_noted_before_anything_is_written(tmp_path: Path) -> None:
    """The example's register 10 holds 110; 900 is outside of its map."""
    plan = replace(TO_ADDRESS, writes=(ADDRESS, RegisterValue(900, 1)))

    moved = Moved(moved_site(tmp_path, CODES), plan)

    (old,) = moved.of(OldSettingsRead)
    assert [one.register_address for one in old.held] == [10]
    assert moved.events.index(old) < moved.events.index(moved.of(SettingWritten)[0])


def test_a_line_on_which_somebody_sends_is_left_alone(tmp_path: Path) -> None:
    site = written_site(
        tmp_path,
        f'{EXAMPLE}[device.habits]\n{CODES}\n[[client]]\nname = "building control"\nsettings = "9600 8N1"\n'
        'requests = ["25 03 00 00 00 02"]\nperiod_s = 2.0\n',
    )

    moved = Moved(site, replace(TO_ADDRESS, listen_s=10.0))

    assert moved.end.end is ReaddressEnd.GIVEN_UP
    assert "something else is sending" in moved.end.sentence
    assert moved.line.requests == []


def test_a_silent_line_is_listened_to_before_the_first_question(tmp_path: Path) -> None:
    moved = Moved(moved_site(tmp_path, CODES), replace(TO_ADDRESS, listen_s=10.0))

    assert [type(one) for one in moved.events[:3]] == [ReaddressBegun, ListeningEnded, CompanyLooked]
    assert moved.end.end is ReaddressEnd.MOVED_AT_ONCE


def test_a_later_look_writes_nothing_and_says_where_it_is_now(tmp_path: Path) -> None:
    site = moved_site(tmp_path, 'write_effect = "after_restart"\n' + CODES)
    moved = Moved(site, TO_ADDRESS, somebody_is_there=False)
    site.hands.power_cycle("example")
    moved.line.asker.listen_until(site.timeline.now_s() + 10.0)
    before = len(moved.line.requests)

    looked, ended = Readdressing(moved.line.asker, moved.line.lock, TO_ADDRESS).look_again()

    assert isinstance(looked, PlacesLooked)
    assert (looked.after, looked.answered) == (LookedAfter.AGAIN, (Reach(42, SLOW),))
    assert isinstance(ended, ReaddressEnded)
    assert ended.end is ReaddressEnd.MOVED
    assert {request[1] for request in moved.line.requests[before:]} == {0x03}
