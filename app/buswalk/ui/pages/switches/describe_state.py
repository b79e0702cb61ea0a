"""Everything the card shows on which a board is described, finished."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FactChoice:
    """A fact of the board to be chosen: its caption, its values, and which one holds (-1: none of them)."""

    caption: str
    values: tuple[str, ...]
    chosen: int


@dataclass(frozen=True, slots=True)
class ListEntry:
    """Values to be written in one line with commas between: `caption` says of what and in which order."""

    caption: str
    text: str


@dataclass(frozen=True, slots=True)
class DescribeState:
    """The card.

    Attributes:
        facts: Each as one choice: how many levers, how they stand, the number at which they begin; or of dials.
        uses: What each lever is for; the caption is 'Lever 7'.
        lists: What the levers count, and what those say that are not for the address.
        adds, base: As they stand in their entries.
        summary: What would be kept: '8 levers, 7 for the address'.
        trouble: Why the last entry cannot be; empty if all is well.
        can_undo: Whether there is anything to take back.
    """

    facts: tuple[FactChoice, ...]
    uses: tuple[FactChoice, ...]
    lists: tuple[ListEntry, ...]
    adds: str
    base: str
    name: str
    name_note: str
    summary: str
    trouble: str
    can_undo: bool
