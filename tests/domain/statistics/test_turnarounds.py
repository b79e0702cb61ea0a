"""Distribution of turnarounds against numpy, and the proposed time-out by its rule."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.statistics.turnarounds import STEP, TurnaroundCounter, Turnarounds


def counted(seconds: list[float]) -> TurnaroundCounter:
    counter = TurnaroundCounter()
    for one in seconds:
        counter.answered(one, 0.009)
    return counter


@settings(deadline=None, max_examples=50)
@given(st.lists(st.floats(0.0002, 5.0), min_size=1, max_size=300))
def test_quantiles_are_those_of_numpy_to_one_step_on_the_careful_side(seconds: list[float]) -> None:
    shown = counted(seconds).turnarounds()

    exact = np.quantile(seconds, [0.5, 0.95, 0.99], method="inverted_cdf")
    for found, true in zip((shown.median_s, shown.most_of_20_s, shown.most_of_100_s), exact, strict=True):
        assert true * (1 - 1e-9) <= found <= true * STEP * (1 + 1e-9)
    assert (shown.least_s, shown.longest_s, shown.seen) == (min(seconds), max(seconds), len(seconds))


def test_the_time_out_is_twice_the_longest_and_the_frame() -> None:
    """Twice 61 ms and 9 ms are 131 ms: 140 ms, rounded up."""
    assert counted([0.02, 0.061, 0.03]).turnarounds().time_out_s == pytest.approx(0.14)


def test_a_late_reply_counts_in_the_proposal() -> None:
    counter = counted([0.05])
    counter.answered_late(0.8)
    counter.unanswered()

    shown = counter.turnarounds()

    assert (shown.late, shown.unseen, shown.longest_s, shown.time_out_s) == (1, 1, 0.8, 1.61)


def test_the_tail_says_what_a_shorter_time_out_would_miss() -> None:
    """3 of 100 lie beyond; one-sided 95 % limit 7.6 % (Clopper and Pearson, by scipy's beta: 0.0757)."""
    tail = counted([0.02] * 97 + [0.4] * 3).tail(0.3)

    assert (tail.missed, tail.answers, tail.share) == (3, 100, 0.03)
    assert tail.at_most == pytest.approx(0.0757, abs=5e-4)
    assert counted([0.02]).tail(0.02).missed == 0


def test_nothing_seen_proposes_nothing() -> None:
    counter = TurnaroundCounter()
    counter.unanswered()

    assert counter.turnarounds() == Turnarounds(0, 0, 1, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="no tail"):
        counter.tail(0.1)
