"""Wilson's limits of a share: near, quick and short, for plots and for comparing with what others quote.

What is claimed stands on the exact limits (`limits`); these may lie a little on the favourable side.
Source: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212.
"""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist

from buswalk.domain.statistics.limits import CHANCE

ONE_SIDED_DEVIATIONS = NormalDist().inv_cdf(1.0 - CHANCE)
"""1.645: so many standard deviations leave 5 % on one side."""


def wilson_upper(seen: int, trials: int, deviations: float = ONE_SIDED_DEVIATIONS) -> float:
    """Return the upper limit of the share of which `seen` of `trials` were seen.

    Raises:
        ValueError: No trials, or more seen than tried.
    """
    middle, reach = _middle_and_reach(seen, trials, deviations)
    return 1.0 if seen == trials else min(1.0, middle + reach)


def wilson_lower(seen: int, trials: int, deviations: float = ONE_SIDED_DEVIATIONS) -> float:
    """Return the lower limit of the same share.

    Raises:
        ValueError: No trials, or more seen than tried.
    """
    middle, reach = _middle_and_reach(seen, trials, deviations)
    return 0.0 if seen == 0 else max(0.0, middle - reach)


def _middle_and_reach(seen: int, trials: int, deviations: float) -> tuple[float, float]:
    if trials < 1 or not 0 <= seen <= trials:
        raise ValueError(f"{seen} of {trials} trials cannot be")
    share = seen / trials
    squared = deviations * deviations
    shrink = 1.0 + squared / trials
    middle = (share + squared / (2.0 * trials)) / shrink
    reach = deviations * sqrt(share * (1.0 - share) / trials + squared / (4.0 * trials * trials)) / shrink
    return middle, reach
