"""A moment in a long job at which single exchanges of others may be slipped in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

Event = TypeVar("Event")


@dataclass(frozen=True, slots=True)
class SafePoint:
    """Yielded among the events of a job; it is no event, and is neither kept nor shown.

    Attributes:
        free_for_s: So long the job has nothing to ask; 0 where it is late already.
    """

    free_for_s: float = 0.0


def without_safe_points(job: Iterator[Event | SafePoint]) -> Iterator[Event]:
    """Return the events of a job alone, for whoever has nothing to slip in."""
    for one in job:
        if not isinstance(one, SafePoint):
            yield one
