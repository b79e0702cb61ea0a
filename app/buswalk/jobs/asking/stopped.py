"""What is raised inside a job when its user wants it to stop."""

from __future__ import annotations


class Stopped(Exception):
    """The stop request, raised by the runner's line and clock inside a wait."""
