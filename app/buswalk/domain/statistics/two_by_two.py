"""Counts inside and outside of something, such as 'while the fan ran': does chance alone make such a difference?

Fisher's exact test, two-sided: with all four sums held, the chance of a table that is no likelier than the one seen.
Source: R. A. Fisher, The Design of Experiments (1935), chapter 2; also J. R. Stat. Soc. 98 (1935) 39-82.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, lgamma, nan

EQUALLY_LIKELY_WITHIN = 1e-7
"""Tables so near in likelihood count as equally likely: rounding must not decide."""


@dataclass(frozen=True, slots=True)
class TwoByTwo:
    """Not clean and clean, inside and outside.

    Raises:
        ValueError: A count is below zero.
    """

    not_clean_inside: int
    clean_inside: int
    not_clean_outside: int
    clean_outside: int

    def __post_init__(self) -> None:
        if min(self.not_clean_inside, self.clean_inside, self.not_clean_outside, self.clean_outside) < 0:
            raise ValueError("counts are not below zero")

    @property
    def inside(self) -> int:
        """All inside."""
        return self.not_clean_inside + self.clean_inside

    @property
    def outside(self) -> int:
        """All outside."""
        return self.not_clean_outside + self.clean_outside

    @property
    def odds_ratio(self) -> float:
        """How many times as high the odds are inside; infinite or not a number where that divides by none."""
        above = self.not_clean_inside * self.clean_outside
        below = self.clean_inside * self.not_clean_outside
        if below:
            return above / below
        return inf if above else nan

    @property
    def chance(self) -> float:
        """Chance of such a difference, or of a rarer one in either direction, if inside and outside were alike."""
        not_clean = self.not_clean_inside + self.not_clean_outside
        least, most = max(0, not_clean - self.outside), min(not_clean, self.inside)
        all_ways = _log_ways(self.inside + self.outside, not_clean)
        seen = self._log_likelihood(self.not_clean_inside, not_clean, all_ways)
        total = 0.0
        for one in range(least, most + 1):
            likelihood = self._log_likelihood(one, not_clean, all_ways)
            if likelihood <= seen + EQUALLY_LIKELY_WITHIN:
                total += exp(likelihood)
        return min(1.0, total)

    def _log_likelihood(self, inside: int, not_clean: int, all_ways: float) -> float:
        return _log_ways(self.inside, inside) + _log_ways(self.outside, not_clean - inside) - all_ways


def _log_ways(of: int, taken: int) -> float:
    return lgamma(of + 1) - lgamma(taken + 1) - lgamma(of - taken + 1)
