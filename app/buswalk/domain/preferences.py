"""What the user has chosen for the window."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class PaletteChoice(Enum):
    """Which palette the user wants."""

    LIGHT = "light"
    DARK = "dark"
    SYSTEM = "system"


class TextSize(Enum):
    """The user's text size; the value is a percentage of every size in the window."""

    USUAL = 100
    LARGE = 125
    LARGEST = 150

    @property
    def factor(self) -> float:
        """What sizes are multiplied by."""
        return self.value / 100.0

    @property
    def larger(self) -> TextSize:
        """The next larger one, or itself."""
        steps = list(TextSize)
        return steps[min(steps.index(self) + 1, len(steps) - 1)]

    @property
    def smaller(self) -> TextSize:
        """The next smaller one, or itself."""
        steps = list(TextSize)
        return steps[max(steps.index(self) - 1, 0)]


SMALLEST_WINDOW = 320
LARGEST_WINDOW = 20_000


@dataclass(frozen=True, slots=True)
class WindowSize:
    """Width and height of the window, in points of the system.

    Raises:
        ValueError: No window is so small or so large.
    """

    width: int
    height: int

    def __post_init__(self) -> None:
        if not all(SMALLEST_WINDOW <= one <= LARGEST_WINDOW for one in (self.width, self.height)):
            raise ValueError(f"a window of {self.width} x {self.height} cannot be")


@dataclass(frozen=True, slots=True)
class Preferences:
    """All of it, as at the first start.

    Attributes:
        last_port: As the user named it; empty before a real port was ever opened.
        window: None before a window was ever closed.
    """

    palette: PaletteChoice = PaletteChoice.SYSTEM
    text_size: TextSize = TextSize.USUAL
    has_sound: bool = False
    last_port: str = ""
    window: WindowSize | None = None
