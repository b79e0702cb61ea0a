"""Sums that take long where much was not clean: done in the analysis process, so that the window never waits."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.record_reader import RecordReader
from buswalk.domain.statistics.claim import claim_on
from buswalk.domain.statistics.limits import lower_limit, upper_limit
from buswalk.domain.statistics.two_by_two import TwoByTwo

CLAIMED_SHARES = (0.01, 0.001, 0.0001)
"""299, 2995 and 29 956 clean requests in a row show these, one-sided with 95 % (1 - 0.05^(1/n))."""


@dataclass(frozen=True, slots=True)
class ShareLimit:
    """A share with both of its exact limits, each one-sided with 95 %."""

    seen: int
    trials: int
    lower: float
    upper: float


def share_limit(seen: int, trials: int) -> ShareLimit:
    """Return a share with its limits. Raises ValueError without trials."""
    return ShareLimit(seen, trials, lower_limit(seen, trials), upper_limit(seen, trials))


@dataclass(frozen=True, slots=True)
class ClaimStand:
    """How the claim that less than `share` is not clean stands.

    Attributes:
        more: So many further requests, all clean, would prove it; 0 where it is proved.
        over: More than this share is not clean, which disproves it; 0 where it is not disproved.
    """

    share: float
    more: int
    over: float


def claim_stands(limit: ShareLimit) -> tuple[ClaimStand, ...]:
    """Return how each usual claim stands; what is disproved is not reckoned any further."""
    stands = []
    for share in CLAIMED_SHARES:
        if limit.lower > share:
            stands.append(ClaimStand(share, 0, limit.lower))
        else:
            stands.append(ClaimStand(share, claim_on(share, limit.seen, limit.trials).more, 0.0))
    return tuple(stands)


@dataclass(frozen=True, slots=True)
class LimitShares:
    """The limits of some shares, given as seen and trials; the record is not looked at."""

    shares: tuple[tuple[int, int], ...]

    def answer(self, _reader: RecordReader) -> tuple[ShareLimit, ...]:
        """Reckon them."""
        return tuple(share_limit(*one) for one in self.shares)


@dataclass(frozen=True, slots=True)
class Contrast:
    """Inside and outside, and what chance has to do with it.

    Attributes:
        chance: Fisher's exact test, two-sided; 1 where one side has nothing.
        sides: Limits inside and outside; None where nothing was asked.
    """

    table: TwoByTwo
    chance: float
    sides: tuple[ShareLimit | None, ShareLimit | None]


@dataclass(frozen=True, slots=True)
class JudgeContrast:
    """The exact test of a table; the record is not looked at."""

    table: TwoByTwo

    def answer(self, _reader: RecordReader) -> Contrast:
        """Reckon it."""
        table = self.table
        sides = ((table.not_clean_inside, table.inside), (table.not_clean_outside, table.outside))
        inside, outside = (share_limit(*one) if one[1] else None for one in sides)
        chance = table.chance if table.inside and table.outside else 1.0
        return Contrast(table, chance, (inside, outside))
