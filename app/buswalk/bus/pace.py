"""How the time of a simulated line passes."""

from __future__ import annotations

from enum import Enum


class Pace(Enum):
    """Slowed down for people, or jumping for tests."""

    PACED = "paced"
    VIRTUAL = "virtual"
