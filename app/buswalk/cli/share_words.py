"""Shares with their limits in words: counts first, two figures, rounded to the unfavourable side, never '0 %'."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor, log10
from typing import TypeAlias

from buswalk.domain.statistics.limits import lower_limit, upper_limit

Rounding: TypeAlias = Callable[[float], int]


def share_words(seen: int, trials: int) -> str:
    """Return such as `0.72 %, up to 1.9 %`, `below 0.73 %` where none was seen, `over 97 %` where all were."""
    if trials == 0:
        return "not tried"
    if seen == 0:
        return f"below {percent_up(upper_limit(seen, trials))}"
    if seen == trials:
        return f"over {percent_down(lower_limit(seen, trials))}"
    return f"{percent(seen / trials)}, up to {percent_up(upper_limit(seen, trials))}"


def percent(share: float) -> str:
    """Return a share in two figures."""
    return _percent(share, round)


def chance_words(chance: float) -> str:
    """Return a chance in percent; one that is next to none is not told in digits."""
    return "below 0.0001 %" if chance < 1e-6 else percent(chance)


def percent_up(share: float) -> str:
    """Return a limit in two figures, not lower than it is; all is 100 %."""
    return _percent(share, lambda scaled: ceil(scaled - 1e-9))


def percent_down(share: float) -> str:
    """Return a limit in two figures, not higher than it is."""
    return _percent(share, lambda scaled: floor(scaled + 1e-9))


def _percent(share: float, rounded: Rounding) -> str:
    value = share * 100.0
    if value <= 0.0:
        return "0 %"
    places = max(0, 1 - floor(log10(value)))
    scaled = rounded(value * 10.0**places)
    if places and scaled >= 100:
        places, scaled = places - 1, scaled // 10
    return f"{min(scaled / 10.0**places, 100.0):.{places}f} %"
