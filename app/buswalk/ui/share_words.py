"""Shares with their limits, as every page writes them: counts before shares, rounded to the unfavourable side."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from buswalk.domain.statistics.limits import lower_limit, upper_limit

FIGURES = 2


def share_words(seen: int, trials: int) -> str:
    """Return a share and its limit: `0.72 %, up to 1.9 %`; none seen: `below 0.73 %`; all seen: `over 97 %`."""
    lower = lower_limit(seen, trials) if seen == trials else 0.0
    return limited_words((seen, trials), lower, upper_limit(seen, trials) if seen < trials else 1.0)


def limited_words(counts: tuple[int, int], lower: float, upper: float) -> str:
    """Return the same of limits that are reckoned already; `counts` are seen and trials."""
    seen, trials = counts
    if seen == 0:
        return f"below {percent_up(upper)}"
    if seen == trials:
        return f"over {percent_down(lower)}"
    return f"{percent_seen(seen / trials)}, up to {percent_up(upper)}"


def percent_up(share: float) -> str:
    """Return a share in percent with two figures, rounded up: what is bad is never made smaller."""
    return _figures(share, ROUND_CEILING)


def percent_down(share: float) -> str:
    """Return a share in percent with two figures, rounded down: what is good is never made larger."""
    return _figures(share, ROUND_FLOOR)


def percent_seen(share: float) -> str:
    """Return a share as it was seen; never so rounded that it reads as none or all."""
    rounded = Decimal(share * 100.0).quantize(_step(share))
    return percent_down(share) if rounded >= 100 else f"{rounded} %"


def _figures(share: float, rounding: str) -> str:
    return f"{Decimal(share * 100.0).quantize(_step(share), rounding=rounding)} %"


def _step(share: float) -> Decimal:
    """Return the place of the second figure of a share in percent."""
    places = FIGURES - 1 - Decimal(share * 100.0).adjusted()
    return Decimal(1).scaleb(-max(places, 0))
