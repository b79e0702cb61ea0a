"""How soon a search has its first right reply, and what whole grids cost, beside a plain loop; in line time.

Time runs from the first request to the first byte of the first right reply; one device alone on a lead, no listening.
Devices that begin to answer within the wait are computed, all cells with their weights. Slower ones depend on which of
our requests their late replies meet: they are drawn, and searched for on the simulated line; so are `confirmed_`, from
all. The plain loop asks each of 16 settings in order, addresses 1 to 247, function 03, waits 300 ms and asks once more.
Grids are all 16 settings; the whole empty search runs on the simulated line, up to its last request in order.
At the end 500 random sites are searched thoroughly; `--part K/N` goes over a part of them only.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from itertools import combinations
from math import prod
from pathlib import Path
from statistics import median

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.search.events import SearchForecast
from buswalk.domain.search.one_parity import parity_served
from buswalk.domain.search.prior import address_weight, asked_as, delivered_settings
from buswalk.domain.search.probe import SHARES_SILENT_ON, Probe, ProbeFunction, probe_cost_s, without_parity
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.wire.serial_line import open_serial_line
from buswalk.wire.system_clock import SystemClock
from tests.benchmarks.figure import Figure
from tests.benchmarks.search_sites import site_figures
from tests.fakes.searched_population import (
    ADDRESSES,
    CHANGE_S,
    FUNCTIONS,
    LATENCY_S,
    NEVER_S,
    PLAN,
    WAIT_S,
    LoneDevice,
    SimulatedFirstReply,
    Timed,
    quick_first_reply_s,
    timed_order,
)
from tests.fakes.terminal_pair import TerminalPair
from tests.jobs.searching.simulated_search import SimulatedSearch

PLAIN_WAIT_S = 0.3
PLAIN_TRIES = 2
SHARES = {"p50": 0.5, "p80": 0.8, "p90": 0.9}
QUICK_STRATA = ((0.60, 0.004, 0.030), (0.25, 0.030, 0.060))
SLOW_STRATA = ((0.10, 0.060, 0.200), (0.04, 0.200, 0.600), (0.01, 0.600, 1.500))
"""Share of devices, and the turnarounds in seconds between which they lie evenly."""
USUAL_STRATUM = ((1.0, 0.005, 0.025),)
POINTS = 4
SLOW_DRAWN = 400
CONFIRMED_DRAWN = 1000
SEED = 8
PLAIN = "plain loop"
SILENT_PROBES = 60
SILENT_LEFT_OUT = 5
"""What fills caches."""

Strata = tuple[tuple[float, float, float], ...]
Floats = NDArray[np.float64]


def figures() -> Iterator[Figure]:
    """Yield times to a first device, speedups of grids, and bus time over its bound."""
    yield from _grids()
    order = timed_order()
    usual = _quick_cells(order, USUAL_STRATUM, {FUNCTIONS: 1.0})
    for name, value in _percentiles(*usual).items():
        yield Figure("search", f"first_usual_device_{name}_s", value, "s")
    with tempfile.TemporaryDirectory() as folder:
        simulated = SimulatedFirstReply(Path(folder), order)
        quick = _quick_cells(order, QUICK_STRATA, _answering())
        slow = _drawn(simulated, SLOW_STRATA, SLOW_DRAWN, SEED)
        times, weights = np.concatenate([quick[0], slow[0]]), np.concatenate([quick[1], slow[1]])
        own = _percentiles(times, weights)
        plain = _percentiles(*_plain_cells())
        for name, value in own.items():
            yield Figure("search", f"first_device_{name}_s", value, "s", PLAIN, plain[name])
        yield Figure("search", "first_device_speedup", plain["p50"] / own["p50"], "x")
        yield Figure("search", "never_found_share", 1.0 - float(weights[times < NEVER_S].sum()), "")
        confirmed = _drawn(simulated, QUICK_STRATA + SLOW_STRATA, CONFIRMED_DRAWN, SEED + 1)
        for name, value in _percentiles(*confirmed).items():
            yield Figure("search", f"confirmed_device_{name}_s", value, "s")
    yield from _software()
    yield from site_figures()


# Whole grids


def _grids() -> Iterator[Figure]:
    plain_s = sum(_plain_setting_s(one) for one in delivered_settings())
    one_parity_s = _one_parity_grid_s(WAIT_S + LATENCY_S)
    whole_s, bound_s, forecast_s = _empty_search()
    yield Figure("search", "equal_wait_speedup", _equal_wait_speedup(), "x")
    yield Figure("search", "one_parity_grid_speedup", plain_s / one_parity_s, "x")
    yield Figure("search", "grid_s", whole_s, "s", PLAIN, plain_s)
    yield Figure("search", "grid_speedup", plain_s / whole_s, "x")
    yield Figure("search", "bus_time_over_bound", whole_s / bound_s, "x")
    yield Figure("search", "forecast_over_whole", forecast_s / whole_s, "x")


def _plain_setting_s(settings: SerialSettings) -> float:
    return CHANGE_S + len(ADDRESSES) * PLAIN_TRIES * (8 * settings.character_s + PLAIN_WAIT_S)


def _one_parity_grid_s(wait_s: float) -> float:
    """Each address reached once at each setting, by as few requests as can be."""
    settings = {asked_as(one) for one in delivered_settings()}
    return sum(_one_parity_address_s(address, settings, wait_s) for address in ADDRESSES)


def _one_parity_address_s(address: int, settings: set[SerialSettings], wait_s: float) -> float:
    served = {SerialSettings(one.baud_rate, parity_served(address), 1) for one in settings if one.parity is Parity.NONE}
    return sum(probe_cost_s(one, wait_s) for one in settings - served)


def _equal_wait_speedup() -> float:
    """494 requests a speed against 988, all nine speeds, the same wait, none asked twice."""
    speeds = {one.baud_rate for one in delivered_settings()}
    framings = ("8N1", "8N2", "8E1", "8O1")
    ordinary = [SerialSettings.of(speed, framing) for speed in speeds for framing in framings]
    asked = {without_parity(speed) for speed in speeds} | {one for one in ordinary if one.parity is not Parity.NONE}
    one_parity_s = sum(_one_parity_address_s(address, asked, PLAIN_WAIT_S) for address in ADDRESSES)
    return len(ADDRESSES) * sum(8 * one.character_s + PLAIN_WAIT_S for one in ordinary) / one_parity_s


def _empty_search() -> tuple[float, float, float]:
    """Return what the requests in order took, what they cannot fall below, and the forecast before; simulated."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "nobody.toml"
        path.write_text('name = "nobody"\nstory = "nobody is here"\n')
        search = SimulatedSearch(path)
        job = search.job(PLAN).run()
        forecast = next(job)
        assert isinstance(forecast, SearchForecast)
        planned = len(timed_order())
        while len(search.asked) < planned:
            next(job)
    done = [one.exchange for one in search.line_events if isinstance(one, ExchangeDone)][:planned]
    first = done[0].sent
    assert isinstance(first, Sent)
    bound_s = sum(probe_cost_s(one.settings, WAIT_S + LATENCY_S) for one in done)
    return done[-1].ended_s - first.begin_s, bound_s, forecast.whole_s


# A first device


def _answering() -> dict[tuple[int, ...], float]:
    """Return each set of functions that a device may answer, with its share."""
    silent = {int(function): share for function, share in SHARES_SILENT_ON.items()}
    sets = [chosen for count in range(len(FUNCTIONS) + 1) for chosen in combinations(FUNCTIONS, count)]
    return {chosen: prod(1.0 - silent[one] if one in chosen else silent[one] for one in FUNCTIONS) for chosen in sets}


def _cells() -> Iterator[tuple[SerialSettings, int, float]]:
    for settings, weight in _delivered().items():
        for address in ADDRESSES:
            yield settings, address, weight * address_weight(address, frozenset())


def _delivered() -> dict[SerialSettings, float]:
    """Return the weights of the 16 settings; a device is in one of them."""
    settings = delivered_settings()
    whole = sum(settings.values())
    return {one: weight / whole for one, weight in settings.items()}


def _quick_cells(
    order: tuple[Timed, ...], strata: Strata, answering: dict[tuple[int, ...], float]
) -> tuple[Floats, Floats]:
    """Return the time of each cell and its weight; the turnaround is taken at even points of its range."""
    by_address: dict[int, list[Timed]] = {}
    for one in order:
        by_address.setdefault(one.probe.server_address, []).append(one)
    times: list[float] = []
    weights: list[float] = []
    for settings, address, weight in _cells():
        requests = tuple(by_address[address])
        for functions, share in answering.items():
            for of_stratum, least_s, most_s in strata:
                for point in range(POINTS):
                    turnaround_s = least_s + (point + 0.5) / POINTS * (most_s - least_s)
                    device = LoneDevice(settings, address, functions, turnaround_s)
                    times.append(quick_first_reply_s(device, requests))
                    weights.append(weight * share * of_stratum / POINTS)
    return np.array(times), np.array(weights)


def _drawn(simulated: SimulatedFirstReply, strata: Strata, count: int, seed: int) -> tuple[Floats, Floats]:
    """Return the times of drawn devices, each searched for, and their equal weights.

    All else is drawn freely; the places are spread evenly over their weights, so that no part of the prior comes up
    more often than it should: drawn freely, two seeds of 400 gave 5.33 and 5.86 s for one p80.
    """
    random = np.random.default_rng(seed)
    places = list(_cells())
    place_weights = np.array([weight for _, _, weight in places])
    spread = (np.arange(count) + random.random()) / count
    chosen = np.searchsorted(place_weights.cumsum() / place_weights.sum(), spread)
    answering = _answering()
    shares = np.array([share for share, _, _ in strata])
    times: list[float] = []
    for place in chosen:
        settings, address, _ = places[min(int(place), len(places) - 1)]
        functions = list(answering)[random.choice(len(answering), p=np.array(list(answering.values())))]
        _, least_s, most_s = strata[random.choice(len(strata), p=shares / shares.sum())]
        turnaround_s = round(float(random.uniform(least_s, most_s)), 6)
        times.append(simulated.first_reply_s(LoneDevice(settings, address, functions, turnaround_s)))
    whole = float(place_weights.sum() * shares.sum())
    return np.array(times), np.full(count, whole / count)


def _plain_cells() -> tuple[Floats, Floats]:
    """Return the same of the plain loop; one that begins after the wait, or knows not 03, is never found."""
    times: list[float] = []
    weights: list[float] = []
    begin_s = 0.0
    for settings, weight in _delivered().items():
        request_s = 8 * settings.character_s
        for place, address in enumerate(ADDRESSES):
            at_s = begin_s + CHANGE_S + place * PLAIN_TRIES * (request_s + PLAIN_WAIT_S) + request_s
            for share, least_s, most_s in QUICK_STRATA + SLOW_STRATA:
                answers = share * (1.0 - SHARES_SILENT_ON[ProbeFunction.HOLDING_REGISTERS])
                in_time = min(1.0, max(0.0, (PLAIN_WAIT_S - least_s) / (most_s - least_s)))
                times.append(at_s + (least_s + min(most_s, PLAIN_WAIT_S)) / 2.0 if in_time else NEVER_S)
                weights.append(weight * address_weight(address, frozenset()) * answers * in_time)
        begin_s += _plain_setting_s(settings)
    return np.array(times), np.array(weights)


def _percentiles(times: Floats, weights: Floats) -> dict[str, float]:
    """Return by when such shares of all devices have answered, those never found among them."""
    ranked = np.argsort(times)
    reached = np.cumsum(weights[ranked])
    return {
        name: float(times[ranked][place]) if (place := int(np.searchsorted(reached, share))) < len(times) else NEVER_S
        for name, share in SHARES.items()
    }


# Software


def _software() -> Iterator[Figure]:
    """What a silent request costs beside its bound, in real time over a pseudo terminal that nobody answers."""
    terminal = TerminalPair()
    settings = SerialSettings.of(9600, "8N2")
    try:
        clock = SystemClock()
        line = open_serial_line(terminal.name, settings, PortOptions(), clock)
        asker = Asker(line, clock, lambda _: None)
        took_s = [_silent_probe_s(asker, terminal, settings) for _ in range(SILENT_PROBES)]
        line.close()
    finally:
        terminal.close()
    yield Figure("search", "silent_probe_software_s", median(took_s[SILENT_LEFT_OUT:]), "s")


def _silent_probe_s(asker: Asker, terminal: TerminalPair, settings: SerialSettings) -> float:
    """Return the time of one request less its wait; a terminal spends no time on bytes."""
    probe = Probe(settings, 1, ProbeFunction.HOLDING_REGISTERS)
    latency_s = asker.traits.latency_s
    began_s = time.perf_counter()
    asker.ask(probe.server_address, probe.request(), AskTiming(WAIT_S))
    took_s = time.perf_counter() - began_s
    terminal.received(8)
    return took_s - WAIT_S - latency_s
