"""Inside and outside against Fisher's own example and against scipy."""

from __future__ import annotations

from math import inf, isnan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import fisher_exact  # type: ignore[import-untyped]

from buswalk.domain.statistics.marked_spans import InsideCounter, MarkedSpan
from buswalk.domain.statistics.two_by_two import TwoByTwo


def test_the_lady_tasting_tea() -> None:
    """Fisher, The Design of Experiments (1935), chapter 2: of 70 orders 1 has all right and 16 three of four.

    Two-sided: 1 + 16 on either side of 70.
    """
    assert TwoByTwo(3, 1, 1, 3).chance == pytest.approx(34 / 70)
    assert TwoByTwo(4, 0, 0, 4).chance == pytest.approx(2 / 70)
    assert TwoByTwo(3, 1, 1, 3).odds_ratio == pytest.approx(9.0)


@settings(deadline=None, max_examples=80)
@given(st.tuples(*[st.integers(0, 400)] * 4))
def test_chance_and_odds_agree_with_scipy(counts: tuple[int, int, int, int]) -> None:
    table = TwoByTwo(*counts)

    expected = fisher_exact([[counts[0], counts[1]], [counts[2], counts[3]]])
    assert table.chance == pytest.approx(float(expected.pvalue), rel=1e-6, abs=1e-12)
    if isnan(expected.statistic):
        assert isnan(table.odds_ratio) or 0 in (table.inside, table.outside, counts[0] + counts[2])
    elif sum(counts[:2]) and sum(counts[2:]) and counts[0] + counts[2] and counts[1] + counts[3]:
        assert table.odds_ratio == pytest.approx(float(expected.statistic))


def test_it_holds_at_the_size_of_a_week() -> None:
    """Two million exchanges, 40 not clean, all inside a tenth of them."""
    table = TwoByTwo(40, 199_960, 0, 1_800_000)

    assert table.chance == pytest.approx(float(fisher_exact([[40, 199_960], [0, 1_800_000]]).pvalue), rel=1e-5)
    assert table.odds_ratio == inf


def test_no_difference_is_no_news() -> None:
    assert TwoByTwo(5, 95, 5, 95).chance == pytest.approx(1.0)


def test_counts_below_zero_are_refused() -> None:
    with pytest.raises(ValueError, match="below zero"):
        TwoByTwo(-1, 0, 0, 0)


def test_an_exchange_across_an_edge_belongs_to_no_side() -> None:
    counter = InsideCounter([MarkedSpan(1, 10.0, 20.0), MarkedSpan(2, 5.0)])

    counter.take(1, (9.0, 9.5), is_clean=True)
    counter.take(1, (9.9, 10.1), is_clean=False)
    counter.take(1, (10.0, 10.5), is_clean=False)
    counter.take(1, (19.9, 20.1), is_clean=True)
    counter.take(1, (20.5, 21.0), is_clean=False)
    counter.take(2, (6.0, 6.1), is_clean=True)
    counter.take(3, (6.0, 6.1), is_clean=True)

    assert counter.table() == TwoByTwo(1, 1, 1, 2)
    assert counter.across == 2


def test_a_span_does_not_end_before_it_begins() -> None:
    with pytest.raises(ValueError, match="before it begins"):
        MarkedSpan(1, 2.0, 1.0)
