"""Statistics of a span against scipy and against what the numbers were made of."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats  # type: ignore[import-untyped]

from buswalk.domain.registers.samples import Quality
from buswalk.domain.trend.samples import CODES, good_samples
from buswalk.domain.trend.series_statistics import Movement, SeriesStatistics, TooFew, series_statistics
from buswalk.domain.trend.student import student_t


def told(times: np.ndarray, numbers: np.ndarray) -> SeriesStatistics:
    found = series_statistics(good_samples(times, numbers))
    assert isinstance(found, SeriesStatistics)
    return found


def test_drift_and_its_limit_are_scipys_for_white_noise() -> None:
    """scipy.stats.linregress: slope and 95 % limit; ours may be wider by what neighbours correlate by chance."""
    rng = np.random.default_rng(11)
    times = np.arange(400.0)
    numbers = 20 + 0.002 * times + rng.normal(0, 0.05, 400)

    found = told(times, numbers)

    line = stats.linregress(times, numbers)
    limit = line.stderr * stats.t.ppf(0.975, 398)
    assert found.drift_per_s.value == pytest.approx(line.slope, rel=1e-9)
    assert limit * 0.99 <= found.drift_per_s.limit <= limit * 1.25
    assert found.noise == pytest.approx(0.05, rel=0.12)


@pytest.mark.parametrize("slow", [0.0, 0.9])
def test_limits_of_mean_and_drift_hold_in_19_of_20_worlds(slow: float) -> None:
    """Also where the noise is slow (first order, 0.9 from look to look): 200 worlds, at least 90 % inside."""
    rng = np.random.default_rng(5)
    times = np.arange(600.0)
    inside_drift = 0
    for _ in range(200):
        noise = rng.normal(0, 1, 600)
        for i in range(1, 600):
            noise[i] += slow * noise[i - 1]
        drift = told(times, 0.01 * times + noise).drift_per_s
        inside_drift += abs(drift.value - 0.01) <= drift.limit

    assert inside_drift >= 180


def test_noise_does_not_count_slow_movement() -> None:
    """A sensor being warmed by 10 K has the same noise as before."""
    rng = np.random.default_rng(2)
    numbers = 10 * (1 - np.exp(-np.arange(500.0) / 80)) + rng.normal(0, 0.06, 500)

    assert told(np.arange(500.0), numbers).noise == pytest.approx(0.06, rel=0.12)


@pytest.mark.parametrize("step", [0.1, 0.25, 0.5, 1.0])
def test_the_step_of_a_coarse_value_is_found(step: float) -> None:
    """Numbers rounded to a step, kept as binary fractions."""
    rng = np.random.default_rng(4)
    numbers = np.round((20 + rng.normal(0, 1, 300)) / step) * step

    assert told(np.arange(300.0), numbers).step == pytest.approx(step, rel=1e-6)


def test_a_fine_value_has_no_step() -> None:
    """A float of the device itself."""
    numbers = np.random.default_rng(4).normal(20, 1, 300).astype(np.float32).astype(float)

    assert told(np.arange(300.0), numbers).step == 0


def test_noise_below_a_step_is_told_as_the_step() -> None:
    """Step / sqrt 12 is the least that rounding alone makes (uniform distribution)."""
    numbers = np.full(100, 21.5)
    numbers[50:] = 21.6

    found = told(np.arange(100.0), numbers)

    assert found.noise == pytest.approx(0.1 / math.sqrt(12), rel=0.3)


def test_a_value_that_never_changes_is_unchanged_and_one_that_stopped_has_stopped() -> None:
    """Stuck is not said of a live value that rests for a while."""
    rng = np.random.default_rng(9)
    live = np.round(20 + rng.normal(0, 0.2, 600), 1)
    stopped = live.copy()
    stopped[200:] = stopped[200]

    assert told(np.arange(600.0), np.full(600, 20.0)).movement is Movement.UNCHANGED
    assert told(np.arange(600.0), live).movement is Movement.MOVES
    assert told(np.arange(600.0), stopped).movement is Movement.STOPPED
    assert told(np.arange(600.0), stopped).unchanged_s >= 399


def test_missing_and_doubtful_looks_are_counted_and_not_taken() -> None:
    """A reply that may be an old one says nothing of now."""
    samples = good_samples(np.arange(20.0), np.where(np.arange(20) < 3, np.nan, 5.0))
    samples.codes[10] = CODES[Quality.DOUBTFUL]

    found = series_statistics(samples)

    assert isinstance(found, SeriesStatistics)
    assert (found.samples, found.missing, found.doubtful) == (16, 3, 1)


def test_of_four_values_nothing_is_said() -> None:
    assert series_statistics(good_samples(np.arange(4.0), np.ones(4))) == TooFew(4, 0)


@pytest.mark.parametrize(("freedom", "off"), [(3, 0.01), (5, 0.002), (10, 0.001), (30, 0.001), (300, 0.001)])
def test_students_t_is_scipys(freedom: int, off: float) -> None:
    """scipy.stats.t.ppf(0.975)."""
    assert student_t(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), rel=off)
