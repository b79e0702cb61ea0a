"""The forecast of a cycle is what then happens, on simulated lines of random profiles and adapters."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.cycle_forecast import (
    CyclePart,
    CycleRules,
    DeviceCycle,
    cycle_forecast,
)
from buswalk.domain.registers.profile import ReadRules
from buswalk.domain.registers.what_if import OtherSpeed, TheseSilent, at_speed, what_if, with_silent
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.domain.watching.asks import device_asks
from buswalk.domain.watching.cycle_tally import CycleTally
from buswalk.domain.watching.events import CycleForecasted, DeviceAbsent, WatchEvent
from buswalk.domain.watching.plan import PointsRead, WatchedDevice, WatchPlan
from tests.fakes.asked_site import N81, written_site
from tests.fakes.read_points import cells, device, profile_of, words_at
from tests.fakes.watched_line import READ, WatchedLine

CYCLES = 100


def random_watch(folder: Path, seed: int, most_points: int) -> WatchedLine:
    """Two or three devices with some points each, of any turnaround, on any adapter."""
    choice = random.Random(seed)
    devices: list[WatchedDevice] = []
    text = f"\n[adapter]\nlatency_step_s = {choice.choice([0.001, 0.004, 0.016])}\n"
    for address in range(11, 11 + choice.randint(2, 3)):
        least_s = choice.uniform(0.003, 0.08)
        law = f"least_s = {least_s:.4f}\nmedian_s = {least_s * choice.uniform(1.1, 2.0):.4f}\n"
        text += device(address, more=f"[device.habits.turnaround]\n{law}{cells((0, 120))}")
        points = words_at(*sorted(choice.sample(range(120), choice.randint(1, most_points))))
        rules = ReadRules(largest_quantity=choice.choice([8, 30, 125]))
        reading = PointsRead(profile_of(*points, rules=rules), tuple(one.name for one in points))
        gap_s = choice.choice([0.0, 0.0, 0.05])
        devices.append(WatchedDevice(address, N81, READ, 0.6, gap_s, reading))
    return WatchedLine(
        written_site(folder, text), WatchPlan(tuple(devices), listen_s=0.0), 80 + 3 * most_points * (CYCLES + 1)
    )


def first_forecast(events: list[WatchEvent]) -> CycleForecasted:
    return next(one for one in events if isinstance(one, CycleForecasted))


def mean_cycle_s(watched: WatchedLine, after_s: float, exchanges: int) -> float:
    """Return the mean of a hundred cycles that began after a time."""
    began = [sent_at_s(one) for one in watched.exchanges if sent_at_s(one) > after_s]
    return (began[CYCLES * exchanges] - began[0]) / CYCLES


@pytest.mark.parametrize(
    ("seed", "most_points"),
    [*((seed, 2) for seed in range(4)), *(pytest.param(seed, 12, marks=pytest.mark.long) for seed in range(20))],
)
def test_a_hundred_cycles_take_what_was_forecast_after_twenty_exchanges_a_device(
    tmp_path: Path, seed: int, most_points: int
) -> None:
    """Within 5 %, the adapter's latency included: it is in what was measured."""
    watched = random_watch(tmp_path, seed, most_points)
    told = first_forecast(watched.events)

    mean_s = mean_cycle_s(watched, told.at_s, told.forecast.exchanges)

    assert told.forecast.cycle_s == pytest.approx(mean_s, rel=0.05)
    assert sum(one.seconds for one in told.forecast.parts) == pytest.approx(told.forecast.cycle_s)
    assert all(one.seconds > 0.0 for one in told.forecast.parts)
    assert told.forecast.seconds(CyclePart.UNANSWERED) == 0.0


def what_if_site(folder: Path, settings: str, *, second_is_there: bool = True, second_point: int = 9) -> WatchedLine:
    text = "\n[adapter]\nlatency_step_s = 0.004\n"
    for address in (11, 12):
        text += device(address, more=cells((0, 40)), settings=settings).replace(
            "settings =", f"powered = {'true' if address == 11 or second_is_there else 'false'}\nsettings ="
        )
    points = PointsRead(profile_of(*words_at(0, second_point)), ("r0", f"r{second_point}"))
    baud, framing = settings.split()
    devices = tuple(
        WatchedDevice(address, SerialSettings.of(int(baud), framing), READ, 0.3, reading=points) for address in (11, 12)
    )
    return WatchedLine(written_site(folder, text), WatchPlan(devices, listen_s=0.0), 500)


def test_what_another_speed_would_bring_is_what_it_brings(tmp_path: Path) -> None:
    """Measured at 9600, forecast for 38400, then measured there: within 5 %, as the requests stay the same."""
    slow = what_if_site(tmp_path, "9600 8N1")
    fast = what_if_site(tmp_path, "38400 8N1")
    told = first_forecast(slow.events).forecast
    exchange_s = told.cycle_s / told.exchanges

    devices = device_cycles_of(slow)
    faster = cycle_forecast(at_speed(devices, 38_400), CycleRules(15.0))

    mean_s = mean_cycle_s(fast, first_forecast(fast.events).at_s, first_forecast(fast.events).forecast.exchanges)
    assert faster.cycle_s == pytest.approx(mean_s, rel=0.05)
    assert faster.cycle_s < told.cycle_s - exchange_s / 2


def device_cycles_of(watched: WatchedLine) -> tuple[DeviceCycle, ...]:
    """Return what a watch learnt of its devices, from its exchanges."""
    tally = CycleTally(watched.plan)
    devices = {one.server_address: one for one in watched.plan.devices}
    for exchange in watched.exchanges:
        tally.answered(devices[exchange.server_address], exchange)
    traits = watched.line.traits
    return tuple(
        tally.device_cycle(device_asks(one, 0.0, tally.costs(one, traits)).asks, traits, is_absent=False)
        for one in devices.values()
    )


def test_what_a_dead_device_would_cost_is_what_it_costs(tmp_path: Path) -> None:
    """Measured with both there, forecast with one dead, then measured so: within 5 %."""
    both = what_if_site(tmp_path, "9600 8N1")
    one = what_if_site(tmp_path, "9600 8N1", second_is_there=False)

    told = cycle_forecast(with_silent(device_cycles_of(both), [12]), CycleRules(15.0))

    after_s = next(event.at_s for event in one.events if isinstance(event, DeviceAbsent)) + 1.0
    began = [sent_at_s(exchange) for exchange in one.exchanges if exchange.server_address == 11]
    began = [at_s for at_s in began if at_s > after_s]
    cycles = (len(began) - 1) // told.exchanges
    assert told.cycle_s == pytest.approx((began[cycles * told.exchanges] - began[0]) / cycles, rel=0.05)


def test_another_speed_is_forecast_with_the_plans_that_are_made_for_it(tmp_path: Path) -> None:
    """At 9600 the hole between the points costs more than a request of its own, at 38400 less."""
    slow = what_if_site(tmp_path, "9600 8N1", second_point=30)
    fast = what_if_site(tmp_path, "38400 8N1", second_point=30)

    told = what_if(first_forecast(slow.events).cycle, [OtherSpeed(38_400)])

    mean_s = mean_cycle_s(fast, first_forecast(fast.events).at_s, first_forecast(fast.events).forecast.exchanges)
    assert (told.now.exchanges, told.then.exchanges) == (4, 2)
    assert told.then.cycle_s == pytest.approx(mean_s, rel=0.05)


def test_the_forecast_is_told_again_when_a_device_went_and_names_what_that_costs(tmp_path: Path) -> None:
    """What was forecast for its silence is what is told then, within 5 %."""
    text = "\n[adapter]\nlatency_step_s = 0.004\n" + "".join(device(at, more=cells((0, 40))) for at in (11, 12))
    site = written_site(tmp_path, text)

    def unplug() -> None:
        site.hands.unplug("d12")

    site.timeline.at(20.0, unplug)
    points = PointsRead(profile_of(*words_at(0, 9)), ("r0", "r9"))
    devices = tuple(WatchedDevice(address, N81, READ, 0.3, reading=points) for address in (11, 12))

    watched = WatchedLine(site, WatchPlan(devices, listen_s=0.0), 2_500)

    before, *after = (one for one in watched.events if isinstance(one, CycleForecasted))
    thought_of = what_if(before.cycle, [TheseSilent((12,))]).then
    assert after
    assert after[-1].forecast.cycle_s == pytest.approx(thought_of.cycle_s, rel=0.05)
    assert [one.is_absent for one in after[-1].cycle.devices] == [False, True]


def test_many_dead_devices_cost_what_is_forecast(tmp_path: Path) -> None:
    """Thirty that are asked each 15 s would take more than the line has: they take turns with the one that is there."""
    text = "\n[adapter]\nlatency_step_s = 0.004\n" + device(11, more=cells((0, 40)))
    points = PointsRead(profile_of(*words_at(0, 9)), ("r0", "r9"))
    devices = tuple(WatchedDevice(address, N81, READ, 0.3, reading=points) for address in (11, *range(101, 131)))

    watched = WatchedLine(written_site(tmp_path, text), WatchPlan(devices, listen_s=0.0), 400)

    told = [one for one in watched.events if isinstance(one, CycleForecasted)][-1]
    gone_s = max(one.at_s for one in watched.events if isinstance(one, DeviceAbsent))
    began = [sent_at_s(one) for one in watched.exchanges if one.server_address == 11 and sent_at_s(one) > gone_s]
    cycles = (len(began) - 1) // told.forecast.exchanges
    assert cycles > 50
    mean_s = (began[cycles * told.forecast.exchanges] - began[0]) / cycles
    assert told.forecast.cycle_s == pytest.approx(mean_s, rel=0.05)
