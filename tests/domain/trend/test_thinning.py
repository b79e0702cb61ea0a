"""What is left of samples draws the same picture; a series that is made coarser stays right where it is drawn."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.registers.samples import Quality
from buswalk.domain.trend.samples import CODES, Samples, good_samples
from buswalk.domain.trend.series import Series
from buswalk.domain.trend.thinning import MOST_A_STEP, thinned

NUMBERS = st.lists(st.one_of(st.just(float("nan")), st.floats(-1e6, 1e6)), min_size=1, max_size=300)


def extremes(samples: Samples, step_s: float) -> list[tuple[int, float, float, bool]]:
    """Return least, greatest and whether one failed for each step, the slow way."""
    steps = np.floor(samples.times_s / step_s)
    told = []
    for step in np.unique(steps):
        inside = samples.numbers[steps == step]
        numbers = inside[~np.isnan(inside)]
        told.append(
            (
                int(step),
                numbers.min() if len(numbers) else np.inf,
                numbers.max() if len(numbers) else -np.inf,
                bool(np.isnan(inside).any()),
            )
        )
    return told


@given(numbers=NUMBERS, step_s=st.floats(0.5, 50.0))
def test_each_step_keeps_its_extremes_and_what_failed(numbers: list[float], step_s: float) -> None:
    whole = good_samples(np.arange(float(len(numbers))), np.array(numbers))

    kept = thinned(whole, step_s)

    assert extremes(kept, step_s) == extremes(whole, step_s)
    assert np.isin(kept.times_s, whole.times_s).all()
    assert len(kept) <= MOST_A_STEP * len(extremes(whole, step_s))


def test_steps_shorter_than_the_period_leave_all_samples() -> None:
    whole = good_samples(np.arange(100.0), np.arange(100.0))

    assert len(thinned(whole, 0.5)) == 100


def test_a_step_of_no_length_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        thinned(good_samples(np.arange(3.0), np.arange(3.0)), 0.0)


def grown(count: int) -> Series:
    """A series with some silences and a spike that must not be lost."""
    numbers = np.sin(np.arange(count) / 500.0)
    numbers[1234] = 99.0
    numbers[3000:3050] = np.nan
    series = Series()
    series.extend(good_samples(np.arange(float(count)), numbers))
    return series


def test_a_coarser_series_is_drawn_as_before_and_keeps_gaps_and_the_newer_half() -> None:
    whole, series = grown(20_000), grown(20_000)

    series.make_coarser()

    before, after = whole.columns(0.0, 20_000.0, 60), series.columns(0.0, 20_000.0, 60)
    assert len(series) < 0.6 * len(whole)
    assert series.gaps == whole.gaps
    assert np.nanmax(np.abs(before.least - after.least)) < 0.1
    assert after.greatest[3] == before.greatest[3] == 99.0
    assert (before.breaks == after.breaks).all()
    assert series.coarse_to_s == 10_000.0
    assert series.samples.between(10_000.0, 20_000.0).numbers.tolist() == whole.samples.last(10_000).numbers.tolist()


def test_values_go_on_after_it_was_made_coarser_without_a_gap_that_nobody_saw() -> None:
    """Thinned samples lie farther apart than the usual period: that is no silence."""
    series = grown(20_000)
    series.make_coarser()

    series.append(20_000.0, 1.0, Quality.GOOD)
    series.make_coarser()
    series.append(20_001.0, 1.0, Quality.GOOD)

    assert [gap.begins_s for gap in series.gaps] == [3000.0]
    assert series.last_s == 20_001.0


def test_what_comes_late_is_put_behind_the_coarse_part_only() -> None:
    series = grown(20_000)
    series.make_coarser()
    late = Samples(
        np.array([5000.5, 15_000.5]), np.array([7.0, 8.0]), np.array([CODES[Quality.GOOD]] * 2, dtype=np.uint8)
    )

    merged = series.with_late(late)

    assert len(merged) == len(series) + 1
    assert float(merged.samples.numbers[merged.last_before(15_000.5)]) == 8.0
    assert merged.gaps == series.gaps
    assert merged.coarse_to_s == series.coarse_to_s
