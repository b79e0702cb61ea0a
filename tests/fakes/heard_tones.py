"""Sounds that are only written down."""

from __future__ import annotations


class HeardTones:
    """Keeps frequencies in order."""

    def __init__(self, problem: str = "") -> None:
        self.heard: list[float] = []
        self.chimes = 0
        self._problem = problem

    def tone(self, frequency_hz: float) -> None:
        """Write a tone down."""
        self.heard.append(frequency_hz)

    def chime(self) -> None:
        """Count a chime."""
        self.chimes += 1

    @property
    def problem(self) -> str:
        """What it was made with."""
        return self._problem
