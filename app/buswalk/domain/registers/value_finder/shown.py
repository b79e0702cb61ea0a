"""What a display shows: a number with a last digit, which was rounded or cut, and may have moved since."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

_NUMBER = re.compile(r"([+-−]?\d{1,15})(?:[.,](\d{1,9}))?")
STEPS = Decimal(1)
"""A display rounds or cuts, and the value may move half a digit between two looks: one step of its last digit."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A displayed number.

    Attributes:
        step: Of the last digit shown: 0.1 for 21.4.
    """

    value: Decimal
    step: Decimal

    @property
    def tolerance(self) -> Decimal:
        """How far the true value may lie from the shown one."""
        return STEPS * self.step


def shown(text: str) -> Shown:
    """Read a display: a decimal point or comma, no thousands signs.

    Raises:
        ValueError: It is no number.
    """
    matched = _NUMBER.fullmatch(text.strip().replace("−", "-"))
    if matched is None:
        raise ValueError(f"'{text}' is no number as a display shows it: write it like 21.4, with no sign for thousands")
    whole, rest = matched.group(1), matched.group(2) or ""
    return Shown(Decimal(f"{whole}.{rest}" if rest else whole), Decimal(1).scaleb(-len(rest)))
