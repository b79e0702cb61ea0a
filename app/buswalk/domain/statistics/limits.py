"""Exact limits of a share: how high, or how low, it may truly be after so many were seen in so many trials.

One-sided, 95 %, from the binomial distribution itself, not a normal approximation: right for none and for all, too.
"""

from __future__ import annotations

from math import exp, lgamma, log, log1p

CHANCE = 0.05
"""What is seen, or less of it, would come about so rarely if the share were at its upper limit."""
HALVINGS = 60
NEGLIGIBLE = 1e-17


def upper_limit(seen: int, trials: int) -> float:
    """Return the share at which `seen` or fewer of `trials` would be seen in 5 % of cases; 1 where all were seen.

    Raises:
        ValueError: No trials, or more seen than tried.
    """
    _check(seen, trials)
    if seen == trials:
        return 1.0
    if seen == 0:
        return 1.0 - float(CHANCE ** (1.0 / trials))
    low, high = seen / trials, 1.0  # below its own share so few would be seen in more than 5 % of cases
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if _chance_of_at_most(seen, trials, middle) > CHANCE:
            low = middle
        else:
            high = middle
    return high


def lower_limit(seen: int, trials: int) -> float:
    """Return the share at which `seen` or more of `trials` would be seen in 5 % of cases; 0 where none was seen.

    Raises:
        ValueError: No trials, or more seen than tried.
    """
    return 1.0 - upper_limit(trials - seen, trials)


def clean_trials_needed(share: float) -> int:
    """Return how many trials, all clean, show that the share is below `share`."""
    if not 0.0 < share < 1.0:
        raise ValueError(f"{share} is no share between none and all")
    needed = int(log(CHANCE) / log1p(-share))
    while (1.0 - share) ** needed > CHANCE:
        needed += 1
    return needed


def _check(seen: int, trials: int) -> None:
    if trials < 1:
        raise ValueError("without a trial nothing can be said")
    if not 0 <= seen <= trials:
        raise ValueError(f"{seen} of {trials} cannot be")


def _chance_of_at_most(seen: int, trials: int, share: float) -> float:
    """Return the chance of `seen` or fewer where that is less than the mean: terms fall from `seen` on downwards."""
    if share >= 1.0:
        return 0.0
    ways = lgamma(trials + 1) - lgamma(seen + 1) - lgamma(trials - seen + 1)
    term = exp(ways + seen * log(share) + (trials - seen) * log1p(-share))
    total = term
    odds = (1.0 - share) / share
    for one in range(seen, 0, -1):
        term *= one / (trials - one + 1) * odds
        total += term
        if term < total * NEGLIGIBLE:
            break
    return total
