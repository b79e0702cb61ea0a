"""Where a station hangs on the cable."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """Order on the chain (0 is the client's end) and metres of cable from there.

    Raises:
        ValueError: One of them is negative.
    """

    position: int = 0
    distance_m: float = 0.0

    def __post_init__(self) -> None:
        if self.position < 0 or self.distance_m < 0:
            raise ValueError("a place on the cable is not before its beginning")
