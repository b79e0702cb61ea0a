"""What the user has chosen for the window. Kept by a function that is handed down; no file is known here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from buswalk.ui.palettes import PaletteChoice
from buswalk.ui.sizes import TextSize


@dataclass(frozen=True, slots=True)
class WindowPreferences:
    """Palette, text size, sound; as on the first start unless said otherwise."""

    palette: PaletteChoice = PaletteChoice.SYSTEM
    text_size: TextSize = TextSize.USUAL
    has_sound: bool = False


KeepsPreferences = Callable[[WindowPreferences], str]
"""Keeps them; returns '' or one sentence why they could not be kept."""
