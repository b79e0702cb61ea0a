"""How it is told when a reply began: in ms, or in words where it began before the request had ended.

A wait below nothing would be nonsense. Window and commands write ms in their own ways and hand theirs in.
"""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.modbus.exchange import Turnaround
from buswalk.domain.modbus.observation import VeryEarly

BEFORE_REQUEST_ENDED = "before our request had ended"


def very_early_words(seen: VeryEarly, in_ms: Callable[[float], str]) -> str:
    """Return the observation as a sentence without capital and full stop."""
    if seen.turnaround_not_more_than_s < 0.0:
        return f"it began {BEFORE_REQUEST_ENDED}: it is no answer to it"
    return f"it began at most {in_ms(seen.turnaround_not_more_than_s)} after our request: too soon to be its answer"


def turnaround_range(seen: Turnaround, in_ms: Callable[[float], str]) -> tuple[str, str] | None:
    """Return the least and the most of a turnaround, 0 at least; None where it began before the request had ended."""
    if seen.is_before_request_ended:
        return None
    return in_ms(max(seen.not_less_than_s, 0.0)), in_ms(seen.not_more_than_s)
