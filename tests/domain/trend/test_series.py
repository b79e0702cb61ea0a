"""Series: what is kept, where the gaps are, and that no column bridges one."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from buswalk.domain.registers.samples import Quality
from buswalk.domain.trend.gap import Gap, WhyGap
from buswalk.domain.trend.samples import CODES, Samples, good_samples
from buswalk.domain.trend.series import Series

NAN = float("nan")


def samples(*rows: tuple[float, float, Quality]) -> Samples:
    times, numbers, qualities = zip(*rows, strict=True)
    codes = np.array([CODES[one] for one in qualities], dtype=np.uint8)
    return Samples(np.array(times, dtype=float), np.array(numbers, dtype=float), codes)


def test_a_gap_lasts_from_the_first_look_without_a_value_to_the_next_with_one() -> None:
    """The device may have been back sooner, but nobody saw it."""
    series = Series()
    series.extend(
        samples(
            (0, 1, Quality.GOOD),
            (1, NAN, Quality.NO_REPLY),
            (2, NAN, Quality.NO_REPLY),
            (3, 2, Quality.GOOD),
            (4, NAN, Quality.REFUSED),
        )
    )

    assert series.gaps == (Gap(1, 3, WhyGap.NO_REPLY, is_over=True), Gap(4, 4, WhyGap.REFUSED, is_over=False))


def test_gaps_are_the_same_sample_by_sample_as_at_once() -> None:
    """Watching live and reading the record tell the same."""
    rng = np.random.default_rng(3)
    times = np.cumsum(rng.choice([1.0, 1.0, 1.0, 30.0], size=400, p=[0.4, 0.3, 0.28, 0.02]))
    three = (Quality.GOOD, Quality.NO_REPLY, Quality.REFUSED)
    kinds = [three[at] for at in rng.choice(3, size=400, p=[0.8, 0.15, 0.05])]
    rows = [(t, 5.0 if k is Quality.GOOD else NAN, k) for t, k in zip(times, kinds, strict=True)]
    at_once, one_by_one = Series(), Series()

    at_once.extend(samples(*rows[:100]))
    at_once.extend(samples(*rows[100:]))
    for row in rows:
        one_by_one.append(*row)

    ours, theirs = at_once.gaps, one_by_one.gaps
    assert {gap for gap in theirs if gap.why is not WhyGap.NOT_ASKED} == {
        gap for gap in ours if gap.why is not WhyGap.NOT_ASKED
    }
    assert len(theirs) > 20
    assert all(a.ends_s <= b.begins_s for a, b in pairwise(theirs))


STEPS_S = st.sampled_from([-1.0, 0.0, 0.2, 0.7, 1.0, 2.9, 3.0, 3.1, 5.0, 12.5, 40.0])
LOOKS = st.tuples(STEPS_S, st.sampled_from([NAN, 1.5, -7.0]), st.sampled_from(list(Quality)))


@given(st.lists(LOOKS, min_size=1, max_size=90))
@settings(max_examples=60)
def test_appending_says_the_same_as_extending_by_a_sample_of_one(
    looks: list[tuple[float, float, Quality]],
) -> None:
    """Appending has a way of its own, without arrays."""
    appended, extended, now_s = Series(), Series(), 0.0

    for step_s, number, quality in looks:
        now_s += step_s
        appended.append(now_s, number, quality)
        extended.extend(samples((now_s, number, quality)))

    assert appended.gaps == extended.gaps
    assert len(appended) == len(extended)
    assert appended.last_s == extended.last_s
    for ours, theirs in zip(_arrays(appended), _arrays(extended), strict=True):
        np.testing.assert_array_equal(ours, theirs)


def _arrays(series: Series) -> tuple[NDArray[Any], ...]:
    """All that is kept, and what is drawn of it."""
    kept, drawn = series.samples, series.columns(-1.0, 400.0, 50)
    return kept.times_s, kept.numbers, kept.codes, drawn.least, drawn.greatest, drawn.breaks


def test_a_time_when_nobody_asked_is_a_gap_of_its_own_kind() -> None:
    """Paused for a minute: no look failed, and yet nothing is known."""
    series = Series()
    series.extend(good_samples(np.array([0.0, 1, 2, 3, 63, 64, 65]), np.ones(7)))

    assert series.gaps == (Gap(3, 63, WhyGap.NOT_ASKED, is_over=True),)


def test_a_sample_that_is_not_later_is_left_out() -> None:
    """A record read once more while live samples come adds nothing twice."""
    series = Series()
    series.extend(good_samples(np.array([0.0, 1, 2]), np.array([1.0, 2, 3])))
    series.extend(good_samples(np.array([1.0, 2, 3]), np.array([9.0, 9, 4])))

    assert list(series.samples.numbers) == [1, 2, 3, 4]


def test_columns_are_the_extremes_of_their_time_and_break_at_gaps() -> None:
    """Ten samples a column; the fourth column has no answer at all, the fifth begins anew."""
    numbers = np.sin(np.arange(100.0))
    numbers[30:40] = np.nan
    series = Series()
    series.extend(good_samples(np.arange(100.0), numbers))

    columns = series.columns(0, 100, 10)

    for at in range(10):
        part = numbers[at * 10 : at * 10 + 10]
        if at == 3:
            assert np.isnan(columns.least[at])
        else:
            assert (columns.least[at], columns.greatest[at]) == (part.min(), part.max())
    assert list(columns.breaks) == [False] * 4 + [True] + [False] * 5


def test_one_missed_look_within_a_column_breaks_the_line() -> None:
    """Never bridged, also where a gap is narrower than a pixel."""
    numbers = np.ones(1000)
    numbers[555] = np.nan
    series = Series()
    series.extend(good_samples(np.arange(1000.0), numbers))

    assert list(np.flatnonzero(series.columns(0, 1000, 10).breaks)) == [5]


def test_a_pause_breaks_the_line() -> None:
    """No sample is missing, but nobody asked."""
    times = np.concatenate((np.arange(50.0), np.arange(70.0, 100.0)))
    series = Series()
    series.extend(good_samples(times, np.ones(80)))

    assert list(np.flatnonzero(series.columns(0, 100, 10).breaks)) == [7]
