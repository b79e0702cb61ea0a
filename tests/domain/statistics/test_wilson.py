"""Wilson's limits against a published table and against scipy; both kinds of limits hold in simulated records."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, binom, binomtest  # type: ignore[import-untyped]

from buswalk.domain.statistics.limits import lower_limit, upper_limit
from buswalk.domain.statistics.wilson import wilson_lower, wilson_upper

TWO_SIDED = 1.959964
SEED = 20_261_125


@pytest.mark.parametrize(
    ("seen", "trials", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_limits_are_those_of_the_published_table(seen: int, trials: int, low: float, high: float) -> None:
    """R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (values from memory), two-sided."""
    limits = wilson_lower(seen, trials, TWO_SIDED), wilson_upper(seen, trials, TWO_SIDED)

    assert limits == pytest.approx((low, high), abs=5e-5)


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 3000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_all_limits_agree_with_scipy(case: tuple[int, int]) -> None:
    """One-sided 95 % is one end of two-sided 90 %; the exact limits are quantiles of the beta distribution."""
    seen, trials = case

    found = (
        wilson_lower(seen, trials),
        wilson_upper(seen, trials),
        lower_limit(seen, trials),
        upper_limit(seen, trials),
    )

    wilson = binomtest(seen, trials).proportion_ci(0.90, method="wilson")
    exact_low = 0.0 if seen == 0 else float(beta.ppf(0.05, seen, trials - seen + 1))
    exact_high = 1.0 if seen == trials else float(beta.ppf(0.95, seen + 1, trials - seen))
    assert found == pytest.approx((wilson.low, wilson.high, exact_low, exact_high), abs=1e-9)


def test_the_exact_limits_hold_in_95_of_100_simulated_records() -> None:
    """10 000 records of 3 000 requests, 2 000 at each of five shares, seed fixed."""
    random = np.random.default_rng(SEED)
    shares = np.repeat([0.0003, 0.001, 0.004, 0.02, 0.1], 2000)
    seen = random.binomial(3000, shares)

    above = {one: upper_limit(int(one), 3000) for one in np.unique(seen)}
    below = {one: lower_limit(int(one), 3000) for one in np.unique(seen)}

    assert np.mean([above[one] >= share for one, share in zip(seen, shares, strict=True)]) >= 0.95
    assert np.mean([below[one] <= share for one, share in zip(seen, shares, strict=True)]) >= 0.95


@pytest.mark.parametrize("share", [0.0001, 0.001, 0.003, 0.01, 0.037, 0.2, 0.5, 0.9])
@pytest.mark.parametrize("trials", [60, 299])
def test_the_exact_limits_hold_by_reckoning(share: float, trials: int) -> None:
    """Not by luck of the draw: the chances of all counts whose limit holds are summed, by scipy."""
    holds_above = [upper_limit(seen, trials) >= share - 1e-12 for seen in range(trials + 1)]
    holds_below = [lower_limit(seen, trials) <= share + 1e-12 for seen in range(trials + 1)]

    chances = binom.pmf(np.arange(trials + 1), trials, share)

    assert chances[np.array(holds_above)].sum() >= 0.95 - 1e-9
    assert chances[np.array(holds_below)].sum() >= 0.95 - 1e-9


def test_wilson_refuses_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="cannot be"):
        wilson_upper(2, 1)
    with pytest.raises(ValueError, match="cannot be"):
        wilson_lower(0, 0)
