"""How good read plans and cycle forecasts are: beside the best of all plans, a naive plan, and a plain library loop.

The naive plan is the usual one: as few requests as the largest quantity allows. The library loop reads each point of a
shipped profile by a request of its own with pymodbus, from a simulated device served on a pseudo terminal at the
real pace of its speed; ours reads the same points of the same device with its own plan.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from itertools import combinations, islice, pairwise
from pathlib import Path
from statistics import median

from pymodbus.client import ModbusSerialClient

from buswalk import api
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import ReadRules, RegisterProfile
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.read_plan import ALL_POINTS, read_plan
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import UINT16, Layout, ValueType
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.domain.watching.events import CycleForecasted
from buswalk.profile_parts import read_profiles
from tests.benchmarks.figure import Figure
from tests.fakes.served_line import ServedLine
from tests.jobs.test_cycle_forecast import CYCLES, random_watch

SEED = 20260305
PLANS = 400
MOST_POINTS = 9
CHARACTER_S = 11 / 9600
FORECASTS = 8
ROUNDS = 12
SERVED, SERVED_ADDRESS, SERVED_PROFILE = "greenhouse", 21, "air-transmitter"
TABLE = Table.HOLDING_REGISTERS


def figures() -> Iterator[Figure]:
    """Yield the figures."""
    ours, naive = _over_optimum()
    yield Figure("read_plan", "seconds_over_optimum", ours, "", "fewest requests", naive)
    yield Figure("read_plan", "cycle_forecast_error_share", _forecast_error(), "")
    speedup = _median_speedup()
    yield Figure(
        "read_plan", "speedup_over_register_by_register", speedup, "", "register by register", 1.0, more_is_better=True
    )
    if sys.platform != "win32":
        own_s, library_s = _cycles_on_a_terminal()
        yield Figure("read_plan", "cycle_s", own_s, "s", "pymodbus, point by point", library_s)


# Plans


def _over_optimum() -> tuple[float, float]:
    """Return the seconds of our plans and of naive ones, both by those of the best plans."""
    choice = random.Random(SEED)
    ours = naive = best = 0.0
    for _ in range(PLANS):
        profile = _random_profile(choice)
        costs = ReadCosts(CHARACTER_S, choice.uniform(0.004, 0.1))
        ours += read_plan(profile, ALL_POINTS, costs).seconds
        best += _best_seconds(profile, costs)
        naive += _naive_seconds(profile, costs)
    return ours / best, naive / best


def _random_profile(choice: random.Random) -> RegisterProfile:
    points: list[Point] = []
    at = 0
    for number in range(choice.randint(2, MOST_POINTS)):
        at += choice.choice((0, 0, 1, 3, 8, 20, 45))
        kind = choice.choice((UINT16, UINT16, ValueType(Layout.UNSIGNED, 32)))
        points.append(Point(f"p{number}", TABLE, at, kind))
        at += kind.words
    return RegisterProfile("random", "random", tuple(points), ReadRules(largest_quantity=choice.choice((20, 60, 125))))


def _best_seconds(profile: RegisterProfile, costs: ReadCosts) -> float:
    """Try every way to cut the points, which follow each other without overlap."""
    points = profile.points
    ways = (cuts for count in range(len(points)) for cuts in combinations(range(1, len(points)), count))
    return min(_seconds_of(points, cuts, profile, costs) for cuts in ways)


def _seconds_of(points: Sequence[Point], cuts: Sequence[int], profile: RegisterProfile, costs: ReadCosts) -> float:
    edges = [0, *cuts, len(points)]
    seconds = 0.0
    for begin, end in pairwise(edges):
        quantity = points[end - 1].last_register_address - points[begin].register_address + 1
        if quantity > profile.rules.largest_quantity:
            return float("inf")
        seconds += costs.exchange_s(TABLE, quantity)
    return seconds


def _naive_seconds(profile: RegisterProfile, costs: ReadCosts) -> float:
    """As much as fits into each request, from the first point on."""
    seconds, points = 0.0, list(profile.points)
    while points:
        first = points[0].register_address
        last_allowed = first + profile.rules.largest_quantity - 1
        taken = [one for one in points if one.last_register_address <= last_allowed]
        seconds += costs.exchange_s(TABLE, taken[-1].last_register_address - first + 1)
        points = points[len(taken) :]
    return seconds


def _median_speedup() -> float:
    """Return, over the shipped profiles, how many times longer one request a register takes at 9600 baud and 20 ms."""
    costs = ReadCosts(CHARACTER_S, 0.024)
    return median(_speedup(one, costs) for one in read_profiles().profiles)


def _speedup(profile: RegisterProfile, costs: ReadCosts) -> float:
    plan = read_plan(profile, ALL_POINTS, costs)
    told = {point.name: point for block in plan.blocks for point in block.points}
    registers = {
        (one.table, at) for one in told.values() for at in range(one.register_address, one.last_register_address + 1)
    }
    return sum(costs.exchange_s(table, 1) for table, _ in registers) / plan.seconds


# Forecasts


def _forecast_error() -> float:
    """Return the largest error of the first forecast among random lines, against the next hundred cycles."""
    with tempfile.TemporaryDirectory() as folder:
        return max(_error_of(Path(folder), seed) for seed in range(100, 100 + FORECASTS))


def _error_of(folder: Path, seed: int) -> float:
    watched = random_watch(folder, seed, 3)
    told = next(one for one in watched.events if isinstance(one, CycleForecasted))
    began = [sent_at_s(one) for one in watched.exchanges if sent_at_s(one) > told.at_s]
    mean_s = (began[CYCLES * told.forecast.exchanges] - began[0]) / CYCLES
    return abs(told.forecast.cycle_s - mean_s) / mean_s


# On a terminal


def _cycles_on_a_terminal() -> tuple[float, float]:
    """Return the median of a cycle, ours and that of the library's loop, one after the other on the same device."""
    profile = api.profile(SERVED_PROFILE)
    served = ServedLine(SERVED, "--pty")
    try:
        return _own_cycle_s(served.name, profile), _library_cycle_s(served.name, profile)
    finally:
        served.close()


def _own_cycle_s(port: str, profile: RegisterProfile) -> float:
    with api.open_line(port, 9600, "8N1") as line:
        name = profile.points[0].name
        looks = (one for one in line.watch(SERVED_ADDRESS, profile, seconds=60.0) if one.point.name == name)
        times = [one.at_s for one in islice(looks, ROUNDS + 1)]
    return median(after - before for before, after in pairwise(times))


def _library_cycle_s(port: str, profile: RegisterProfile) -> float:
    client = ModbusSerialClient(port, baudrate=9600, timeout=1.0)
    if not client.connect():
        raise RuntimeError("pymodbus does not open the terminal")
    took: list[float] = []
    try:
        for _ in range(ROUNDS):
            began_s = time.perf_counter()
            for one in profile.points:
                reads = (
                    client.read_input_registers if one.table is Table.INPUT_REGISTERS else client.read_holding_registers
                )
                if reads(one.register_address, count=one.value_type.words, device_id=SERVED_ADDRESS).isError():
                    raise RuntimeError(f"pymodbus does not read {one.name}")
            took.append(time.perf_counter() - began_s)
    finally:
        client.close()  # type: ignore[no-untyped-call]
    return median(took)
