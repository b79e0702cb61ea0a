"""One write as a person ordered it: what, why, what was seen before, what was confirmed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.registers.writing.events import OldRead
from buswalk.domain.registers.writing.intended import IntendedWrite, SecondConfirmation
from buswalk.domain.registers.writing.visit_writes import OneWrite


@dataclass(frozen=True, slots=True)
class NewValue:
    """It puts nothing back."""


@dataclass(frozen=True, slots=True)
class PutsBack:
    """It puts back what this write replaced.

    Attributes:
        of_session: In words, where that was an earlier session than the one that writes now.
    """

    write: OneWrite
    of_session: str = ""


Purpose: TypeAlias = NewValue | PutsBack


@dataclass(frozen=True, slots=True)
class WriteOrder:
    """An order for one value.

    Attributes:
        seen: What stood there when the person decided; another value there now stops the write. Empty: none was shown.
        confirmed: What was confirmed apart.
    """

    intended: IntendedWrite
    reason: str
    seen: tuple[int, ...] = ()
    confirmed: frozenset[SecondConfirmation] = frozenset()
    purpose: Purpose = NewValue()
    response_timeout_s: float = 1.0
    minimum_gap_s: float = 0.0


def put_back_order(
    write: OneWrite, reason: str, confirmed: frozenset[SecondConfirmation] = frozenset(), of_session: str = ""
) -> WriteOrder | None:
    """Return the order that puts back what a write replaced; None if that was never read."""
    begun = write.begun
    if not isinstance(begun.old, OldRead):
        return None
    old = IntendedWrite(begun.intended.server_address, begun.intended.settings, begun.intended.place, begun.old.words)
    return WriteOrder(old, reason, confirmed=confirmed, purpose=PutsBack(write, of_session))
