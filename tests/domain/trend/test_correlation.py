"""Correlation against numpy's, with known lags, gaps and chance."""

from __future__ import annotations

import numpy as np
import pytest

from buswalk.domain.trend.correlation import Correlation, NoCorrelation, correlation
from buswalk.domain.trend.samples import good_samples


def slow_noise(rng: np.random.Generator, count: int, slow: float = 0.9) -> np.ndarray:
    values = rng.normal(size=count)
    for i in range(1, count):
        values[i] += slow * values[i - 1]
    return values


@pytest.mark.parametrize("lag", [0, 7, -12])
def test_the_lag_of_a_delayed_copy_is_found(lag: int) -> None:
    """The second follows by `lag` seconds; a tenth of each is missing."""
    rng = np.random.default_rng(1)
    source = slow_noise(rng, 1000)
    first, second = source[50:950].copy(), source[50 - lag : 950 - lag] * 3 + 40 + rng.normal(0, 0.3, 900)
    for one in (first, second):
        one[rng.random(900) < 0.1] = np.nan

    found = correlation(good_samples(np.arange(900.0), first), good_samples(np.arange(900.0), second), 60)

    assert isinstance(found, Correlation)
    assert found.lag_s == pytest.approx(lag, abs=0.01)
    assert found.r > 0.9
    assert found.is_beyond_chance


def test_r_without_lag_is_numpys() -> None:
    """numpy.corrcoef."""
    rng = np.random.default_rng(2)
    a = slow_noise(rng, 500)
    b = a + rng.normal(0, 2, 500)

    found = correlation(good_samples(np.arange(500.0), a), good_samples(np.arange(500.0), b), 0)

    assert isinstance(found, Correlation)
    # The grid ends before the last sample.
    assert found.r == pytest.approx(np.corrcoef(a[:-1], b[:-1])[0, 1], abs=1e-9)


def test_unrelated_slow_points_seldom_seem_related() -> None:
    """100 pairs of slow noise: at most 12 beyond chance, where 5 are expected."""
    rng = np.random.default_rng(3)
    times = np.arange(600.0)
    beyond = 0
    for _ in range(100):
        pair = [good_samples(times, slow_noise(rng, 600)) for _ in range(2)]
        found = correlation(pair[0], pair[1], 60)
        beyond += isinstance(found, Correlation) and found.is_beyond_chance

    assert beyond <= 12


def test_a_point_that_never_moves_correlates_with_nothing() -> None:
    times = np.arange(100.0)

    found = correlation(good_samples(times, np.ones(100)), good_samples(times, np.sin(times)), 10)

    assert found == NoCorrelation("one of them never moves")
