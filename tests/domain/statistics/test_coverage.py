"""What '95 %' promises, tried on 10,000 records: in so many the true share lies on the right side of a limit."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binom  # type: ignore[import-untyped]

from buswalk.domain.statistics.limits import lower_limit, upper_limit

RECORDS = 10_000
SEED = 20_260_305


@pytest.mark.parametrize(("share", "trials"), [(0.1, 50), (0.036, 414), (0.01, 299), (0.001, 2995), (0.0001, 20_000)])
def test_limits_hold_in_at_least_95_of_100_records(share: float, trials: int) -> None:
    """Exact limits hold in 95 % or more whatever the share; how much more is a sum over all counts (scipy)."""
    print(f"seed {SEED}")
    seen = np.random.default_rng(SEED).binomial(trials, share, RECORDS)
    counts, records = np.unique(seen, return_counts=True)
    upper = {int(one): upper_limit(int(one), trials) >= share for one in counts}
    lower = {int(one): lower_limit(int(one), trials) <= share for one in counts}

    held = {
        side: sum(int(number) for one, number in zip(counts, records, strict=True) if holds[int(one)]) / RECORDS
        for side, holds in (("upper", upper), ("lower", lower))
    }

    every = range(trials + 1) if trials < 500 else range(60)
    promised = {
        "upper": sum(binom.pmf(one, trials, share) for one in every if upper_limit(one, trials) >= share),
        "lower": sum(binom.pmf(one, trials, share) for one in every if lower_limit(one, trials) <= share),
    }
    for side in ("upper", "lower"):
        chance_s = (promised[side] * (1.0 - promised[side]) / RECORDS) ** 0.5
        assert promised[side] >= 0.95 - 1e-9
        assert held[side] >= 0.95 - 3.0 * chance_s
        assert held[side] == pytest.approx(promised[side], abs=4.0 * chance_s)
