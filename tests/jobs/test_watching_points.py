"""Watching points of simulated devices of known truth: values, times, periods, overload, maps that change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from math import isnan
from pathlib import Path

import pytest

from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.outcome import NoReply
from buswalk.domain.registers.point import Between, Point
from buswalk.domain.registers.profile import Block, ReadRules
from buswalk.domain.registers.read_plan import WhyLeftOut
from buswalk.domain.registers.samples import PointsWatched, Quality, SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.domain.watching.events import (
    DeviceAbsent,
    DeviceBack,
    PointNotRead,
    PointRefused,
    PointTold,
    WatchProgress,
)
from buswalk.domain.watching.plan import PointPeriod, PointsRead, Retries, WatchedDevice, WatchPlan
from simulated_line.servers import register_map
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import N81, shipped_site, written_site
from tests.fakes.read_points import cells, device, profile_of, taken_of, words_at
from tests.fakes.watched_line import READ, WatchedLine

HOLDING = register_map.Table.HOLDING_REGISTERS


def reading(*points: Point, rules: ReadRules | None = None, periods: tuple[PointPeriod, ...] = ()) -> PointsRead:
    return PointsRead(profile_of(*points, rules=rules), tuple(one.name for one in points), periods)


def watching(address: int, points: PointsRead, period_s: float = 0.0, wait_s: float = 0.2) -> WatchedDevice:
    return WatchedDevice(address, N81, READ, wait_s, reading=points, period_s=period_s)


def plan_of(*devices: WatchedDevice) -> WatchPlan:
    return WatchPlan(devices, listen_s=0.0)


def spans_asked(watched: WatchedLine) -> list[tuple[int, int, int]]:
    requests = ((one.server_address, one.request) for one in watched.exchanges)
    return [
        (address, one.register_address, one.quantity)
        for address, one in requests
        if isinstance(one, ReadHoldingRegisters)
    ]


def seen(watched: WatchedLine, point: str) -> Iterator[tuple[SamplesTaken, Quality, float]]:
    for taken in taken_of(watched):
        for one in taken.samples:
            if one.point == point:
                yield taken, one.quality, one.number


def test_each_point_is_told_with_its_value_time_and_exchange(tmp_path: Path) -> None:
    """The first byte of a reply begins between the ends of its range: the middle is told, and half of the range."""
    site = written_site(tmp_path, device(21, more=cells((0, 3), (40, 2))))

    watched = WatchedLine(site, plan_of(watching(21, reading(*words_at(0, 2, 41)))), 40)

    first = watched.events[0]
    assert isinstance(first, PointsWatched)
    assert [one.name for one in first.points] == ["r0", "r2", "r41"]
    assert {
        (one.point, one.words, one.number, one.quality) for taken in taken_of(watched) for one in taken.samples
    } == {
        ("r0", (1000,), 1000.0, Quality.GOOD),
        ("r2", (1002,), 1002.0, Quality.GOOD),
        ("r41", (1041,), 1041.0, Quality.GOOD),
    }
    by_number = {one.number: one for one in watched.exchanges}
    for taken in taken_of(watched):
        exchange = by_number[taken.exchange]
        assert sent_at_s(exchange) < taken.at_s - taken.uncertainty_s
        assert taken.at_s + taken.uncertainty_s <= exchange.arrivals[0].not_after_s + 1e-9


def test_values_of_the_demo_hall_are_those_of_its_processes() -> None:
    """Truth is the model that moves the values, asked for the moment at which the device answered."""
    site = shipped_site("greenhouse")
    name, one = next((name, one) for name, one in site.devices.items() if 21 in one.addresses)
    temperature = Point("t", Table.INPUT_REGISTERS, 0, range=Between(Decimal(-400), Decimal(1200)))
    settings = one.receiver_settings
    devices = (WatchedDevice(21, settings, READ, reading=reading(temperature), period_s=30.0),)

    watched = WatchedLine(site, WatchPlan(devices, listen_s=0.0), 50)

    cell = one.registers.cells[register_map.Table.INPUT_REGISTERS][0]
    assert callable(cell), name
    for taken in taken_of(watched):
        assert taken.samples[0].words in {(cell(taken.at_s - 0.02) & 0xFFFF,), (cell(taken.at_s + 0.02) & 0xFFFF,)}
    assert len(taken_of(watched)) == 50


def test_periods_of_points_are_kept_and_slow_ones_ride_along_where_it_costs_nothing(tmp_path: Path) -> None:
    """r1 lies between two quick points and comes with them; r50 lies far away and is asked every 20 s only."""
    site = written_site(tmp_path, device(21, more=cells((0, 60))))
    slow = (PointPeriod("r50", 20.0), PointPeriod("r1", 20.0))
    points = reading(*words_at(0, 1, 2, 50), periods=slow)

    watched = WatchedLine(site, plan_of(watching(21, points, period_s=1.0)), 200)

    assert Counter(spans_asked(watched)) == {(21, 0, 3): 190, (21, 50, 1): 10}
    times = [taken.at_s for taken, _, _ in seen(watched, "r0")]
    assert all(0.95 <= later - earlier < 1.2 for earlier, later in pairwise(times))
    assert len(list(seen(watched, "r1"))) == 190


def test_an_overload_stretches_all_periods_alike(tmp_path: Path) -> None:
    """Twelve requests of 20 to 60 ms every 0.1, 0.2 or 0.4 s are twice what the line can carry, and nobody starves."""
    wanted = {address: 0.1 * 2 ** (address % 3) for address in range(11, 23)}
    site = written_site(tmp_path, "".join(device(one, more=cells((0, 9))) for one in wanted))
    devices = tuple(watching(one, reading(*words_at(0, 8)), period_s=period_s) for one, period_s in wanted.items())

    watched = WatchedLine(site, plan_of(*devices), 1500)

    ran_s = watched.exchanges[-1].ended_s
    counts = Counter(one.server_address for one in watched.exchanges)
    stretched = {address: ran_s / counts[address] / period_s for address, period_s in wanted.items()}
    assert min(stretched.values()) > 1.5
    assert max(stretched.values()) / min(stretched.values()) < 1.35


def test_what_has_no_period_fills_the_rest_and_is_not_starved(tmp_path: Path) -> None:
    site = written_site(tmp_path, device(21, more=cells((0, 5))) + device(22, more=cells((0, 5))))
    quick = watching(21, reading(*words_at(0)), period_s=0.01)
    rest = watching(22, reading(*words_at(0)))

    watched = WatchedLine(site, plan_of(quick, rest), 100)

    counts = Counter(one.server_address for one in watched.exchanges)
    assert abs(counts[21] - counts[22]) <= 1


def test_an_absent_device_leaves_a_gap_and_its_points_are_back_at_once(tmp_path: Path) -> None:
    """While it is away only the harmless read is sent, every 15 s; no time of its points is made up."""
    site = written_site(tmp_path, device(21, "first", cells((0, 5))) + device(22, "second", cells((0, 5))))
    site.timeline.at(10.0, lambda: _do(site, "unplug"))
    site.timeline.at(70.0, lambda: _do(site, "plug_in"))
    devices = [watching(one, reading(*words_at(0, 4)), period_s=1.0) for one in (21, 22)]

    watched = WatchedLine(site, plan_of(*devices), 160)

    absent = next(one for one in watched.events if isinstance(one, DeviceAbsent))
    back = next(one for one in watched.events if isinstance(one, DeviceBack))
    told = [(taken.at_s, quality) for taken, quality, _ in seen(watched, "r0") if taken.server_address == 22]
    after = [one for one in told if one[0] > absent.at_s]
    away = [one for one in watched.exchanges if one.server_address == 22 and absent.at_s < sent_at_s(one) < back.at_s]
    assert [quality for at_s, quality in told if 10.0 < at_s < absent.at_s] == [Quality.NO_REPLY] * 3
    assert all(one.request == READ for one in away)
    assert len(away) <= 5
    assert after[0][1] is Quality.GOOD
    assert after[0][0] == pytest.approx(back.at_s, abs=0.3)
    others = [quality for taken, quality, _ in seen(watched, "r0") if taken.server_address == 21]
    assert set(others) == {Quality.GOOD}


def _do(site: SimulatedSite, hand: str) -> None:
    getattr(site.hands, hand)("second")


def test_a_device_that_changes_its_map_is_said_and_nothing_else_is_lost(tmp_path: Path) -> None:
    """From 20 s to 120 s register 3 does not exist: its neighbours are read on, and it is taken back then."""
    site = written_site(tmp_path, device(21, more=cells((0, 6))))
    registers = site.devices["d21"].registers
    site.timeline.at(20.0, lambda: registers.cells[HOLDING].__delitem__(3))
    site.timeline.at(120.0, lambda: registers.put(HOLDING, 3, 1003))

    watched = WatchedLine(site, plan_of(watching(21, reading(*words_at(*range(6))), period_s=1.0)), 500)

    refused = [one for one in watched.events if isinstance(one, PointRefused)]
    told = [one for one in watched.events if isinstance(one, PointTold)]
    assert [(one.point, one.exception_code, one.told_before) for one in refused] == [("r3", 2, True)]
    assert refused[0].at_s == pytest.approx(21.0, abs=1.0)
    assert [one.point for one in told] == ["r3"]
    assert 120.0 <= told[0].at_s <= 136.0
    for name in ("r0", "r2", "r4", "r5"):
        samples = list(seen(watched, name))
        assert {quality for _, quality, _ in samples} == {Quality.GOOD}
        assert max(later[0].at_s - earlier[0].at_s for earlier, later in pairwise(samples)) < 1.6
    missing = [taken.at_s for taken, quality, _ in seen(watched, "r3") if quality is Quality.REFUSED]
    assert 1 <= len(missing) <= 8


def test_a_point_that_the_device_never_had_is_refused_and_not_called_changed(tmp_path: Path) -> None:
    site = written_site(tmp_path, device(21, more=cells((100, 3), (104, 2))))

    watched = WatchedLine(site, plan_of(watching(21, reading(*words_at(100, 101, 102, 103, 104)))), 60)

    refused = [one for one in watched.events if isinstance(one, PointRefused)]
    assert [(one.point, one.told_before) for one in refused] == [("r103", False)]
    assert {quality for _, quality, _ in seen(watched, "r104")} == {Quality.GOOD}


def test_retries_are_exchanges_in_the_record_and_only_the_last_leaves_a_sample(tmp_path: Path) -> None:
    """It ignores what comes within 200 ms of its own reply: each second request is lost, each third answered."""
    site = written_site(tmp_path, device(21, more="[device.habits]\nminimum_gap_s = 0.15\n" + cells((0, 2))))
    plan = replace(plan_of(watching(21, reading(*words_at(0)), wait_s=0.1)), retries=Retries(2, 0.2))

    watched = WatchedLine(site, plan, 90)

    outcomes = Counter(type(one.outcome) for one in watched.exchanges)
    assert outcomes[NoReply] > 30
    assert len(taken_of(watched)) == 90 - outcomes[NoReply]
    assert {quality for _, quality, _ in seen(watched, "r0")} == {Quality.GOOD}
    assert not [one for one in watched.events if isinstance(one, DeviceAbsent)]


def test_a_value_that_may_be_an_old_reply_is_doubtful(tmp_path: Path) -> None:
    """A device of 250 to 350 ms is given 200 and asked again at once: what comes then may answer the first request."""
    slow = "[device.habits.turnaround]\nleast_s = 0.25\nmedian_s = 0.3\nmost_s = 0.35\n"
    site = written_site(tmp_path, device(21, more=slow + cells((0, 2))))
    plan = replace(plan_of(watching(21, reading(*words_at(0)), wait_s=0.2)), retries=Retries(3, 0.01))

    watched = WatchedLine(site, plan, 60)

    qualities = Counter(quality for _, quality, _ in seen(watched, "r0"))
    assert qualities[Quality.DOUBTFUL] > 5
    assert qualities[Quality.GOOD] == 0


def test_what_is_not_read_is_said_once_with_the_reason(tmp_path: Path) -> None:
    rules = ReadRules((Block(Table.HOLDING_REGISTERS, 0, 4),))
    site = written_site(tmp_path, device(21, more=cells((0, 9))))

    watched = WatchedLine(site, plan_of(watching(21, reading(*words_at(0, 7), rules=rules))), 20)

    gone = [one for one in watched.events if isinstance(one, PointNotRead)]
    assert [(one.point, one.why) for one in gone] == [("r7", WhyLeftOut.NOT_ALLOWED)]
    assert {quantity for _, _, quantity in spans_asked(watched)} == {1}


def test_plans_are_made_anew_from_what_the_device_really_takes(tmp_path: Path) -> None:
    """300 ms of turnaround make a request dear: after 20 replies 60 registers of a hole are read across."""
    slow = "[device.habits.turnaround]\nleast_s = 0.3\nmedian_s = 0.3\nmost_s = 0.31\n"
    site = written_site(tmp_path, device(21, more=slow + cells((0, 70))))

    watched = WatchedLine(site, plan_of(watching(21, reading(*words_at(0, 61)), wait_s=1.0)), 60)

    asked = spans_asked(watched)
    assert set(asked[:20]) == {(21, 0, 1), (21, 61, 1)}
    assert set(asked[22:]) == {(21, 0, 62)}


def test_points_outside_of_their_range_and_no_values_are_told_as_such(tmp_path: Path) -> None:
    site = written_site(tmp_path, device(21, more=cells((0, 3))))
    low = Point("low", Table.HOLDING_REGISTERS, 0, range=Between(Decimal(0), Decimal(999)))
    none = Point("none", Table.HOLDING_REGISTERS, 1, sentinels=(1001,))

    watched = WatchedLine(site, plan_of(watching(21, reading(low, none))), 5)

    assert {quality for _, quality, _ in seen(watched, "low")} == {Quality.OUT_OF_RANGE}
    assert {(quality, isnan(number)) for _, quality, number in seen(watched, "none")} == {(Quality.NO_VALUE, True)}


def test_progress_is_told_as_before(tmp_path: Path) -> None:
    site = written_site(tmp_path, device(21, more=cells((0, 3))))

    watched = WatchedLine(site, plan_of(watching(21, reading(*words_at(0)), period_s=10.0)), 20)

    assert [one.asked for one in watched.events if isinstance(one, WatchProgress)] == [7, 13, 19]


@pytest.mark.parametrize(
    ("names", "periods", "words"),
    [
        ((), (), "at least one"),
        (("r0", "r0"), (), "each once"),
        (("r1",), (), "no point r1"),
        (("r0",), (PointPeriod("r1", 1.0),), "no point r1"),
    ],
)
def test_points_that_cannot_be_are_refused(
    names: tuple[str, ...], periods: tuple[PointPeriod, ...], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        PointsRead(profile_of(*words_at(0)), names, periods)
