"""The colours of tones in a palette."""

from __future__ import annotations

from buswalk.ui.palettes import Colours, Hue
from buswalk.ui.tones import Tone


def text_colour(colours: Colours, tone: Tone) -> str:
    """Return the colour of words."""
    match tone:
        case Tone.INK:
            return colours.ink
        case Tone.INK2:
            return colours.ink2
        case Tone.INK3:
            return colours.ink3
        case _:
            return hue_of(colours, tone).text


def hue_of(colours: Colours, tone: Tone) -> Hue:
    """Return the three colours of a tone; ink ones have panel or sunk behind them."""
    match tone:
        case Tone.DOUBT:
            return colours.doubt
        case Tone.FAULT:
            return colours.fault
        case Tone.REFUSE:
            return colours.refuse
        case Tone.FOREIGN:
            return colours.foreign
        case _:
            return Hue(colours.ink, colours.ink2, colours.sunk)
