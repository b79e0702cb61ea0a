"""The pyramid against plain minima and maxima of every span."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.trend.min_max_pyramid import MinMaxPyramid

NUMBERS = st.lists(st.one_of(st.floats(-1e6, 1e6), st.just(float("nan"))), max_size=700)


@given(st.lists(NUMBERS, max_size=4), st.data())
def test_any_span_has_the_extremes_that_numpy_finds(parts: list[list[float]], data: st.DataObject) -> None:
    """Built in pieces, as while watching; NaN is no number."""
    pyramid = MinMaxPyramid()
    for part in parts:
        pyramid.extend(np.array(part, dtype=float))
    whole = np.array([one for part in parts for one in part], dtype=float)
    places = st.integers(0, len(whole))
    spans = data.draw(st.lists(st.tuples(places, places), min_size=1, max_size=30))
    first = np.array([min(span) for span in spans])
    last = np.array([max(span) for span in spans])

    found = pyramid.extremes(first, last)

    for at, (begin, end) in enumerate(zip(first, last, strict=True)):
        inside = whole[begin:end]
        inside = inside[~np.isnan(inside)]
        assert found.least[at] == (inside.min() if len(inside) else np.inf)
        assert found.greatest[at] == (inside.max() if len(inside) else -np.inf)


def test_a_long_series_has_three_levels_that_agree_with_numpy() -> None:
    """Ten thousand numbers need blocks of blocks."""
    numbers = np.random.default_rng(7).normal(size=10_000)
    pyramid = MinMaxPyramid()
    for begin in range(0, 10_000, 333):
        pyramid.extend(numbers[begin : begin + 333])
    first = np.arange(0, 9_000, 13)
    last = first + np.arange(len(first)) % 1000 + 1

    found = pyramid.extremes(first, last)

    assert all(found.least[i] == numbers[first[i] : last[i]].min() for i in range(len(first)))
    assert all(found.greatest[i] == numbers[first[i] : last[i]].max() for i in range(len(first)))
