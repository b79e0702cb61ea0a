"""Where each item of the strip stands: fixed widths, the newest at the right. Plain arithmetic."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.strip.slots import Cut, HeardSlot, Slot, StripItem

SLOT = 33.0
HEARD = 26.0
CUT = 44.0
STOPPED = 33.0 + 50.0


@dataclass(frozen=True, slots=True)
class Placed:
    """One item with its place; `from_end` counts from the newest."""

    from_end: int
    item: StripItem
    left: float
    width: float


def width_of(item: StripItem) -> float:
    """Return how wide an item is at scale 1."""
    match item:
        case Slot(kind=OutcomeKind.STOPPED):
            return STOPPED
        case Slot():
            return SLOT
        case HeardSlot():
            return HEARD
        case Cut():
            return CUT


def placed(items: Sequence[StripItem], end_x: float, scale: float) -> Iterator[Placed]:
    """Yield what can be seen, the newest first; the last one may reach over the left edge."""
    right = end_x
    for from_end, item in enumerate(reversed(items)):
        width = width_of(item) * scale
        right -= width
        yield Placed(from_end, item, right, width)
        if right < 0:
            return
