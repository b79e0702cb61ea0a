"""Exact binomial limits against worked values and against the defining sum in whole numbers."""

from __future__ import annotations

from fractions import Fraction
from math import comb

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.statistics.limits import CHANCE, clean_trials_needed, lower_limit, upper_limit


@pytest.mark.parametrize(
    ("seen", "trials", "percent"),
    [
        (3, 414, 1.9),
        (6, 414, 2.9),
        (1, 414, 1.2),
        (5, 414, 2.6),
        (0, 414, 0.73),
        (0, 412, 0.73),
        (26, 260, 14.0),
        (3, 258, 3.0),
        (0, 2166, 0.14),
    ],
)
def test_the_upper_limit_agrees_with_values_worked_out_beside_the_program(
    seen: int, trials: int, percent: float
) -> None:
    """Worked out once with another program for the pictures of the window; two figures, rounded up."""
    limit = upper_limit(seen, trials) * 100.0

    step = 10.0 ** (len(str(int(limit))) - 2) if limit >= 1.0 else 0.01
    assert percent - step < limit <= percent


@pytest.mark.parametrize(
    ("seen", "trials", "limit"),
    [
        (0, 10, 0.258866),
        (3, 10, 0.606624),
        (0, 100, 0.029513),
        (1, 100, 0.046560),
        (5, 100, 0.102253),
        (1, 1000, 0.004735),
        (10, 1000, 0.016903),
    ],
)
def test_the_upper_limit_is_the_one_sided_one_of_clopper_and_pearson(seen: int, trials: int, limit: float) -> None:
    """Computed from the definition in other words, to six places; no published table was at hand."""
    assert upper_limit(seen, trials) == pytest.approx(limit, abs=6e-7)


def test_with_failures_allowed_more_must_be_tried() -> None:
    """Below 1 %: 299 trials with none, 473 with one, 628 with two, 773 with three; below 0.1 %: 2995, 4742, 6294."""
    for seen, trials in ((0, 299), (1, 473), (2, 628), (3, 773)):
        assert upper_limit(seen, trials) <= 0.01 < upper_limit(seen, trials - 1)
    for seen, trials in ((0, 2995), (1, 4742), (2, 6294)):
        assert upper_limit(seen, trials) <= 0.001 < upper_limit(seen, trials - 1)


def test_all_seen_has_a_lower_limit_of_its_own() -> None:
    """118 of 118: over 97 %, from 0.05 ** (1 / 118) = 0.9749."""
    assert lower_limit(118, 118) == pytest.approx(0.9749, abs=0.00005)
    assert upper_limit(118, 118) == 1.0


def test_none_seen_is_the_rule_of_three_made_exact() -> None:
    """299 clean ones for 1 %, 2995 for 0.1 %: the first whole number at which 0.99 ** n, 0.999 ** n fall below 5 %."""
    assert clean_trials_needed(0.01) == 299
    assert clean_trials_needed(0.001) == 2995
    assert upper_limit(0, 299) <= 0.01 < upper_limit(0, 298)


@settings(max_examples=60)
@given(st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n - 1), st.just(n))))
def test_at_the_limit_so_few_are_seen_in_five_percent_of_cases(case: tuple[int, int]) -> None:
    """The definition itself, summed in whole numbers."""
    seen, trials = case

    share = Fraction(upper_limit(seen, trials))

    chance = sum(comb(trials, k) * share**k * (1 - share) ** (trials - k) for k in range(seen + 1))
    assert float(chance) == pytest.approx(CHANCE, rel=1e-9)


@pytest.mark.parametrize(("seen", "trials"), [(0, 0), (5, 4), (-1, 4)])
def test_what_cannot_have_been_seen_is_refused(seen: int, trials: int) -> None:
    with pytest.raises(ValueError, match=r"cannot|trial"):
        upper_limit(seen, trials)


def test_a_share_of_nothing_needs_no_number_of_trials() -> None:
    with pytest.raises(ValueError, match="no share"):
        clean_trials_needed(0.0)
