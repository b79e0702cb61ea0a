"""What a claim such as 'below 0.1 %' needs: how many requests, how many more after what was seen, and how long."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.statistics.limits import clean_trials_needed, upper_limit


@dataclass(frozen=True, slots=True)
class Claim:
    """A claim that the share of what is not clean lies below `share`, with 95 % confidence, one-sided.

    Attributes:
        needed: So many trials prove it if no more than `seen` of them are not clean.
    """

    share: float
    seen: int
    trials: int
    needed: int

    @property
    def more(self) -> int:
        """So many further requests, all clean, would prove it; 0 where it is proved."""
        return max(0, self.needed - self.trials)

    @property
    def is_proved(self) -> bool:
        """Whether what was seen proves it."""
        return self.trials >= self.needed


def claim_on(share: float, seen: int, trials: int) -> Claim:
    """Return how a claim stands after `seen` of `trials` were not clean.

    Raises:
        ValueError: The share is not between none and all, or more was seen than tried.
    """
    if not 0 <= seen <= trials:
        raise ValueError(f"{seen} of {trials} cannot be")
    return Claim(share, seen, trials, trials_needed(share, seen))


def trials_needed(share: float, seen: int) -> int:
    """Return the least number of trials at which `seen` not clean ones still show a share of at most `share`.

    Raises:
        ValueError: The share is not between none and all.
    """
    clean = clean_trials_needed(share)
    if seen == 0:
        return clean
    too_few = max(seen, int(seen / share))  # with so many the seen share itself is not below the claimed one
    enough = too_few + clean
    while upper_limit(seen, enough) > share:
        too_few, enough = enough, 2 * enough
    while enough - too_few > 1:
        middle = (too_few + enough) // 2
        if upper_limit(seen, middle) > share:
            too_few = middle
        else:
            enough = middle
    return enough


def seconds_needed(requests: int, requests_per_second: float) -> float:
    """Return how long so many requests take at this pace.

    Raises:
        ValueError: The pace is none.
    """
    if requests < 0 or requests_per_second <= 0.0:
        raise ValueError("a time needs requests, and a pace above zero")
    return requests / requests_per_second
