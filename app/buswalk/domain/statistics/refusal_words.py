"""What was refused, by exception code, in words for commands, pages and print."""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.statistics.device_quality import RefusalCount


def refusal_words(refusals: Iterable[RefusalCount]) -> str:
    """Return how often with which code, the commonest first: 12 with 02 (illegal data address)."""
    ordered = sorted(refusals, key=lambda one: (-one.count, one.exception_code))
    return ", ".join(
        f"{one.count} with {one.exception_code:02X} ({exception_meaning(one.exception_code).name})" for one in ordered
    )
