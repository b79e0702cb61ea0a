"""Drives that fall back when nobody asks them, beside a search: the warning comes before the drive trips, and names it.

The drive's own clock is the simulator's (servers/loss_timer.py), which shares no code with what warns; when it trips
is seen in its registers, looked at every 50 ms of line time.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from buswalk.bus.job_runner import StoppableLine
from buswalk.bus.looking_line import LookingLine
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line_events import ExchangeDone, LineEvent, OtherClientNoticed
from buswalk.domain.loss_timers.asked_times import AskedTimes
from buswalk.domain.loss_timers.timed_devices import KnownTimers, TimedDevice, ToldBy, in_order
from buswalk.domain.loss_timers.unasked import ServerAskedAgain, ServerUnasked, Stage, TimerWatch, UnaskedEvent
from buswalk.domain.registers.loss_timer import LossTimer, RunsFor
from buswalk.domain.search.events import AmongOthers, SearchEnd, SearchPlan
from buswalk.jobs.asking.asker import Asker
from simulated_line.servers.register_map import Table
from tests.fakes.other_client import Habits
from tests.jobs.searching.live_line import ASKED_AS_PLAIN, FAST_EVEN, READ_11, READ_12, LiveLine, device, plan

TRIPPED = 81
LOOK_EVERY_S = 0.05


def drive(address: int, timer_s: float) -> str:
    """A drive that reports fault 81 in its first register when nobody has asked it for so long."""
    habits = (
        f"loss_timer_s = {timer_s}\n"
        f'safe_values = [{{ table = "holding_registers", address = 0, words = [{TRIPPED}] }}]\n'
    )
    return f"{device(address)}{habits}"


def timed(address: int, seconds: float) -> TimedDevice:
    timer = LossTimer("stops", RunsFor(seconds))
    return TimedDevice(address, f"drive {address}", timer, timer.delivered, ToldBy.PROFILE)


class WatchedLine(LiveLine):
    """A living line on which timers are counted, and trips of its drives are seen; reads are cut short as in use."""

    def begin(self, *devices: TimedDevice) -> WatchedLine:
        self.said: list[UnaskedEvent] = []
        self.tripped_s: dict[int, float] = {}
        self._looked_s = -1.0
        self._timers = KnownTimers(in_order(devices))
        self._asked = AskedTimes()
        self._watch = TimerWatch(self._asked)
        line = StoppableLine(LookingLine(self.line, self._look), self.clock, StopRequest())
        self.asker = Asker(line, self.clock, self._take_too)
        self.site.timeline.at(0.0, self._see)
        return self

    def _take_too(self, event: LineEvent) -> None:
        self._take(event)
        self._asked.take(event)

    def _look(self) -> None:
        self.said += self._watch.look(self._timers, self.clock.now_s())

    def _see(self) -> None:
        now_s = self.site.timeline.now_s()
        for one in self._timers.timed:
            registers = self.site.devices[f"d{one.server_address}"].registers
            if registers.read(Table.HOLDING_REGISTERS, 0, 1, now_s) == [TRIPPED]:
                self.tripped_s.setdefault(one.server_address, now_s)
        self.site.timeline.at(now_s + LOOK_EVERY_S, self._see)

    def near(self, address: int) -> list[ServerUnasked]:
        return [one for one in self._unasked(address) if one.stage is Stage.NEAR]

    def over(self, address: int) -> list[ServerUnasked]:
        return [one for one in self._unasked(address) if one.stage is Stage.OVER]

    def _unasked(self, address: int) -> list[ServerUnasked]:
        return [one for one in self.said if isinstance(one, ServerUnasked) and one.server_address == address]


def taking_over(*addresses: int) -> SearchPlan:
    return replace(plan(*addresses), among_others=AmongOthers.TAKES_OVER)


def test_a_drive_whose_client_was_switched_off_is_named_before_it_trips(tmp_path: Path) -> None:
    """11 has 10 s, 12 has 60 s: within a search of half a minute one trips, and is warned of two seconds before."""
    habits = Habits((READ_11, READ_12), round_s=1.0, until_s=8.0)
    live = WatchedLine(tmp_path, drive(11, 10.0) + drive(12, 60.0), habits).begin(timed(11, 10.0), timed(12, 60.0))

    live.search(taking_over(*range(100, 200)))

    (warned,), (over,) = live.near(11), live.over(11)
    assert warned.name == "drive 11" and warned.reaction == "stops"
    assert 1.8 <= live.tripped_s[11] - warned.at_s <= 2.0 + LOOK_EVERY_S
    assert abs(over.at_s - live.tripped_s[11]) <= 2 * LOOK_EVERY_S
    assert 12 not in live.tripped_s and not live.near(12)


def test_a_client_that_falls_silent_beside_our_search_is_counted_though_nothing_comes(tmp_path: Path) -> None:
    """Between the cycles nothing is sent while the client is awaited: the count goes on in that wait."""
    habits = Habits((READ_11, READ_12), round_s=2.0, until_s=25.0)
    live = WatchedLine(tmp_path, drive(11, 5.0) + drive(12, 60.0), habits).begin(timed(11, 5.0), timed(12, 60.0))

    live.search(plan(*range(100, 247)))

    assert live.end.end is SearchEnd.OTHER_CLIENT
    (warned,) = live.near(11)
    assert 0.9 <= live.tripped_s[11] - warned.at_s <= 1.0 + LOOK_EVERY_S


def test_a_client_that_goes_on_is_no_reason_to_warn(tmp_path: Path) -> None:
    """Also while we ask at another speed, where its frames are noticed and not understood."""
    habits = Habits((READ_11, READ_12), round_s=2.0)
    live = WatchedLine(tmp_path, drive(11, 5.0) + drive(12, 5.0), habits).begin(timed(11, 5.0), timed(12, 5.0))

    live.search(plan(*range(100, 160), settings={ASKED_AS_PLAIN: 0.5, FAST_EVEN: 0.5}))

    assert live.end.end is SearchEnd.ALL_ASKED, live.end.sentence
    assert live.tripped_s == {}
    assert any(isinstance(one, OtherClientNoticed) for one in live.line_events), "it asked at another speed too"
    assert live.said == []


def test_a_drive_is_said_to_be_asked_again_and_to_trip_where_a_request_of_ours_met_its_clients(tmp_path: Path) -> None:
    """A client that asks every 9 s of 10. Of the line taken over, one of its exchanges falls into a wait of ours and is
    whole; the next meets our request, and the drive does not hear it.
    """
    live = WatchedLine(tmp_path, drive(11, 10.0), Habits((READ_11,), round_s=9.0)).begin(timed(11, 10.0))

    live.search(taking_over(*range(100, 247)))

    again = [one for one in live.said if isinstance(one, ServerAskedAgain)]
    assert [round(one.after_s) for one in again] == [9, 9]
    (over,) = live.over(11)
    assert abs(over.at_s - live.tripped_s[11]) <= 2 * LOOK_EVERY_S
    assert 1.9 <= live.tripped_s[11] - live.near(11)[-1].at_s <= 2.0 + LOOK_EVERY_S


def test_a_device_that_only_we_asked_is_not_counted(tmp_path: Path) -> None:
    """Its timer began with our own request, if at all: in a search without another client that is no news."""
    live = WatchedLine(tmp_path, drive(11, 5.0), Habits((READ_12,), until_s=0.0)).begin(timed(11, 5.0))

    live.search(plan(11, *range(100, 200)))

    assert live.found == {(11, ASKED_AS_PLAIN)}
    assert live.said == []


def test_our_own_request_at_its_setting_holds_its_timer_up(tmp_path: Path) -> None:
    """What answers was asked: the count begins anew, as that of the drive does."""
    habits = Habits((READ_11,), round_s=1.0, until_s=9.0)
    live = WatchedLine(tmp_path, drive(11, 10.0), habits).begin(timed(11, 10.0))

    live.search(taking_over(11, *range(100, 160)))

    assert (11, ASKED_AS_PLAIN) in live.found
    ours = [one.exchange for one in live.line_events if isinstance(one, ExchangeDone)]
    asked_s = max(one.ended_s for one in ours if one.server_address == 11)
    assert all(one.at_s - asked_s >= 7.8 for one in live.near(11) if one.at_s > asked_s)


def test_while_we_listen_at_other_speeds_it_is_said_that_it_may_have_been_asked(tmp_path: Path) -> None:
    """A client that talks once in 14 s is not heard in 4 s, and at other speeds its bytes are no frames."""
    live = WatchedLine(tmp_path, drive(11, 10.0), Habits((READ_11,), round_s=14.0)).begin(timed(11, 10.0))

    live.search(plan(*range(100, 110)))

    first, *later = [one for one in live.said if isinstance(one, ServerUnasked)]
    assert not first.is_unclear
    assert any(one.is_unclear for one in later)
