"""What the window can let be heard. Off unless wanted; each sound has something that is seen beside it."""

from __future__ import annotations

from typing import Protocol


class Sounds(Protocol):
    """Plays through what the system offers; never waits, never raises."""

    def tone(self, frequency_hz: float) -> None:
        """Play one short tone."""

    def chime(self) -> None:
        """A port has returned, or a job has ended."""

    @property
    def problem(self) -> str:
        """Why nothing can be heard on this computer; '' where it can."""


class Silence:
    """No sound at all, said to be so."""

    def __init__(self, problem: str = "") -> None:
        self._problem = problem

    def tone(self, frequency_hz: float) -> None:
        """Play nothing."""

    def chime(self) -> None:
        """Play nothing."""

    @property
    def problem(self) -> str:
        """The reason it was made with."""
        return self._problem


class ChosenSounds:
    """Plays only while the user wants it."""

    def __init__(self, sounds: Sounds) -> None:
        self._sounds = sounds
        self.is_wanted = False

    def tone(self, frequency_hz: float) -> None:
        """Play it if sound is wanted."""
        if self.is_wanted:
            self._sounds.tone(frequency_hz)

    def chime(self) -> None:
        """Play it if sound is wanted."""
        if self.is_wanted:
            self._sounds.chime()

    @property
    def problem(self) -> str:
        """Why nothing can be heard."""
        return self._sounds.problem
