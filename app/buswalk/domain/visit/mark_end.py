"""Where a mark ends: at a line time, or with the session that it lies in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class EndsAt:
    """At this line time of the session that the mark lies in."""

    end_s: float


@dataclass(frozen=True, slots=True)
class EndsWithSession:
    """Nobody has said an end: it lasts to the end of its session."""


MarkEnd: TypeAlias = EndsAt | EndsWithSession
NO_END = EndsWithSession()
