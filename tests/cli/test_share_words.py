"""Shares in words: two figures, rounded to the unfavourable side, never '0 %'."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.cli.share_words import chance_words, percent, percent_down, percent_up, share_words
from buswalk.domain.statistics.limits import lower_limit, upper_limit


@pytest.mark.parametrize(
    ("seen", "trials", "words"),
    [
        (0, 412, "below 0.73 %"),
        (3, 414, "0.72 %, up to 1.9 %"),
        (26, 260, "10 %, up to 14 %"),
        (3, 258, "1.2 %, up to 3.0 %"),
        (0, 2166, "below 0.14 %"),
        (0, 2995, "below 0.10 %"),
        (118, 118, "over 97 %"),
        (0, 1, "below 95 %"),
        (0, 0, "not tried"),
    ],
)
def test_a_share_has_its_count_and_its_limit(seen: int, trials: int, words: str) -> None:
    """Worked out once with another program for the pictures of the window (0.05 ** (1 / 118) = 0.9749)."""
    assert share_words(seen, trials) == words


def test_rounding_up_to_the_next_power_keeps_two_figures() -> None:
    assert (percent_up(0.00991), percent_up(0.0991), percent(0.000996), percent_up(0.996)) == (
        "1.0 %",
        "10 %",
        "0.10 %",
        "100 %",
    )


@settings(deadline=None, max_examples=100)
@given(st.integers(1, 5000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_no_limit_looks_better_than_it_is(case: tuple[int, int]) -> None:
    seen, trials = case
    upper, lower = upper_limit(seen, trials), lower_limit(seen, trials)

    assert float(percent_up(upper).removesuffix(" %")) >= upper * 100.0 - 1e-6
    assert float(percent_down(lower).removesuffix(" %")) <= lower * 100.0 + 1e-6


def test_next_to_no_chance_is_not_told_in_digits() -> None:
    assert (chance_words(1e-15), chance_words(0.0), chance_words(0.034)) == (
        "below 0.0001 %",
        "below 0.0001 %",
        "3.4 %",
    )
