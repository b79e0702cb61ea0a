"""Runs and intervals against a published distribution, against counting all orders, and against numpy."""

from __future__ import annotations

from itertools import accumulate, combinations, groupby

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.statistics.bunching import (
    Between,
    IntervalCounter,
    RunCounter,
    chance_of_so_few_runs,
)

ORDERS_BY_RUNS = {
    2: 2,
    3: 23,
    4: 260,
    5: 1365,
    6: 7020,
    7: 22_230,
    8: 68_640,
    9: 145_860,
    10: 300_300,
    11: 450_450,
    12: 648_648,
    13: 702_702,
    14: 720_720,
    15: 566_280,
    16: 411_840,
    17: 231_660,
    18: 115_830,
    19: 45_045,
    20: 14_300,
    21: 3575,
    22: 572,
    23: 78,
}
"""Orders of 11 and 14 by their number of runs: R. Koopman, MathGroup archive mg53905 (2005); in all 4 457 400."""


def runs_in(order: str) -> int:
    return len(list(groupby(order)))


def counted(order: str) -> RunCounter:
    counter = RunCounter()
    for sign in order:
        counter.take(is_clean=sign == ".")
    return counter


def test_the_chance_of_few_runs_is_that_of_the_published_distribution() -> None:
    chances = [chance_of_so_few_runs(11, 14, runs) for runs in ORDERS_BY_RUNS]

    assert sum(ORDERS_BY_RUNS.values()) == 4_457_400
    assert chances == pytest.approx([some / 4_457_400 for some in accumulate(ORDERS_BY_RUNS.values())], rel=1e-9)


def test_it_agrees_with_the_table_of_critical_values() -> None:
    """10 and 10: 6 runs are few at 2.5 %, 7 are not (Swed and Eisenhart, Ann. Math. Stat. 14 (1943); from memory)."""
    assert chance_of_so_few_runs(10, 10, 6) <= 0.025 < chance_of_so_few_runs(10, 10, 7)


@pytest.mark.parametrize(("clean", "not_clean"), [(1, 1), (5, 1), (4, 4), (6, 3), (3, 7), (0, 4)])
def test_it_agrees_with_counting_all_orders(clean: int, not_clean: int) -> None:
    trials = clean + not_clean
    orders = [
        "".join("x" if at in places else "." for at in range(trials))
        for places in combinations(range(trials), not_clean)
    ]

    for runs in range(1, trials + 1):
        share = sum(runs_in(order) <= runs for order in orders) / len(orders)
        assert chance_of_so_few_runs(clean, not_clean, runs) == pytest.approx(share)


def test_ten_in_a_row_are_bunched_and_ten_apart_are_not() -> None:
    """Ten of a thousand: in one row there are three runs; in a thousand years of chance that does not happen."""
    bunched = counted("." * 495 + "x" * 10 + "." * 495).bunching()
    apart = counted(("." * 99 + "x") * 10).bunching()

    assert (bunched.runs, bunched.longest_run, bunched.not_clean) == (3, 10, 10)
    assert bunched.chance < 1e-15
    assert (apart.runs, apart.longest_run) == (20, 1)
    assert apart.chance > 0.05


@settings(deadline=None, max_examples=50)
@given(st.text(alphabet=".x", max_size=200))
def test_counting_one_by_one_is_counting_all(order: str) -> None:
    bunching = counted(order).bunching()

    rows = [len(list(row)) for sign, row in groupby(order) if sign == "x"]
    assert (bunching.clean, bunching.not_clean) == (order.count("."), order.count("x"))
    assert (bunching.runs, bunching.longest_run) == (runs_in(order), max(rows, default=0))


@settings(deadline=None, max_examples=50)
@given(st.lists(st.floats(0.001, 1e5), min_size=1, max_size=60))
def test_intervals_are_as_numpy_has_them(intervals: list[float]) -> None:
    counter = IntervalCounter()
    times = np.concatenate([[0.0], np.cumsum(intervals)])
    for at_s in times:
        counter.take(float(at_s))

    between = counter.between()

    apart = np.diff(times)
    assert between.intervals == len(intervals)
    shown = (between.shortest_s, between.mean_s, between.longest_s)
    assert shown == pytest.approx((apart.min(), apart.mean(), apart.max()))
    if len(intervals) > 1:
        assert between.spread == pytest.approx(apart.std(ddof=1) / apart.mean(), rel=1e-6, abs=1e-7)


def test_nothing_lies_between_two_sessions() -> None:
    counter = IntervalCounter()
    for at_s in (5.0, 7.0):
        counter.take(at_s)
    counter.cut()
    for at_s in (1.0, 2.0):
        counter.take(at_s)

    assert (counter.between().intervals, counter.between().longest_s) == (2, 2.0)
    assert IntervalCounter().between() == Between(0, 0.0, 0.0, 0.0, 0.0)
