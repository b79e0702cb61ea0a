"""What is raised inside a job when its user wants it to stop."""

from __future__ import annotations

from enum import Enum


class Stopped(Exception):
    """The stop request, raised by the runner's line and clock inside a wait."""


class StopKeeping(Enum):
    """What becomes of a stop that comes now."""

    PASSES_ON = "passes_on"
    KEEPS = "keeps"
    HAS_ONE = "has_one"
