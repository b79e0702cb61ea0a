"""Rows of a table as presenters give them: finished words, with shapes before them where they belong. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.ui.address_states import AddressState
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.tones import Tone


class Weight(Enum):
    """The face of a cell."""

    REGULAR = "regular"
    BOLD = "bold"
    KEY = "key"
    """15 bold: addresses and counts."""
    FIXED = "fixed"
    """Bytes."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell, finished.

    Attributes:
        shape: Stands before the words; its own word should be among them, or in `spoken`.
        exception_code: For the shape of a refusal.
        spoken: What a reader says in place of `words`; '' for the words themselves.
    """

    words: str
    tone: Tone = Tone.INK
    weight: Weight = Weight.REGULAR
    shape: OutcomeKind | AddressState | None = None
    exception_code: int = 0
    spoken: str = ""


Row = tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head, its width at 100 % (0: takes what is left), figures to the right or not.

    Attributes:
        may_be_cut: True for names of devices only; everything else must fit.
    """

    head: str
    width: int
    is_right: bool = False
    may_be_cut: bool = False
