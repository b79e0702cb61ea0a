"""What is said of a place that was changed and not put back, by `record writes` and `put-back`."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.registers.writing.events import OldValue
from buswalk.domain.registers.writing.intended import IntendedWrite
from buswalk.domain.registers.writing.visit_writes import Change


@dataclass(frozen=True, slots=True)
class LeftChanged:
    """A place that does not hold what it held; `words` as they were read last, or as written where nothing was."""

    intended: IntendedWrite
    old: OldValue
    words: tuple[int, ...]


def left_changed(change: Change) -> LeftChanged:
    """Return what is said of a change."""
    return LeftChanged(change.intended, change.first.begun.old, change.last.left_behind)
