"""The three addresses that the user writes to compare. Plain text until they are read."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Entries:
    """Address intended, found, and where it was before."""

    intended: str = ""
    found: str = ""
    previous: str = ""
