"""The forecast of a cycle is what then happens, on simulated lines of random profiles and adapters."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from buswalk.domain.registers.cycle_forecast import CyclePart
from buswalk.domain.registers.profile import ReadRules
from buswalk.domain.statistics.device_quality import sent_at_s
from buswalk.domain.watching.events import CycleForecasted, WatchEvent
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
