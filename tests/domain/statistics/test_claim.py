"""How many requests a claim needs."""

from __future__ import annotations

import pytest
from scipy.stats import beta  # type: ignore[import-untyped]

from buswalk.domain.statistics.claim import claim_on, seconds_needed, trials_needed


@pytest.mark.parametrize(
    ("share", "needed"),
    [(0.01, 299), (0.001, 2995), (0.0001, 29_956)],
)
def test_clean_requests_for_a_claim(share: float, needed: int) -> None:
    """The first whole n with (1 - share) ** n at most 0.05: ln 0.05 / ln 0.9999 = 29 955.8."""
    assert trials_needed(share, 0) == needed
    assert (1.0 - share) ** needed <= 0.05 < (1.0 - share) ** (needed - 1)


@pytest.mark.parametrize(
    ("share", "seen", "needed"),
    [(0.01, 1, 473), (0.01, 2, 628), (0.01, 3, 773), (0.001, 1, 4742), (0.001, 2, 6294)],
)
def test_each_one_not_clean_costs_more_requests(share: float, seen: int, needed: int) -> None:
    """473 is the usual sample for 1 % at 95 % with one failure (acceptance sampling; common practice, no source)."""
    assert trials_needed(share, seen) == needed


@pytest.mark.parametrize("seen", [1, 7, 40, 333])
@pytest.mark.parametrize("share", [0.2, 0.05, 0.001])
def test_with_so_many_the_limit_just_holds(share: float, seen: int) -> None:
    """The exact limit as scipy has it, at the number found and at one less."""
    needed = trials_needed(share, seen)

    assert beta.ppf(0.95, seen + 1, needed - seen) <= share + 1e-12
    assert beta.ppf(0.95, seen + 1, needed - 1 - seen) > share - 1e-12


def test_a_claim_says_how_many_more() -> None:
    assert (claim_on(0.001, 0, 2000).more, claim_on(0.001, 0, 2000).is_proved) == (995, False)
    assert (claim_on(0.001, 0, 2995).more, claim_on(0.001, 0, 2995).is_proved) == (0, True)
    assert claim_on(0.001, 1, 2995).more == 4742 - 2995


def test_the_time_it_takes_is_requests_by_pace() -> None:
    assert seconds_needed(2995, 10.0) == pytest.approx(299.5)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be"):
        claim_on(0.01, 3, 2)
    with pytest.raises(ValueError, match="no share"):
        claim_on(1.0, 0, 2)
    with pytest.raises(ValueError, match="pace"):
        seconds_needed(10, 0.0)
