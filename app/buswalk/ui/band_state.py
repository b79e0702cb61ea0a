"""What the band under a page top says, as values. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class BandAction:
    """A button of a band; `name` is handed back when it is pressed."""

    name: str
    words: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class BandState:
    """What a band says.

    Attributes:
        tone: FAULT (cross), FOREIGN (slant) or DOUBT (triangle).
        headline: What happened and when.
        words: What is safe, what to do.
        actions: The likely one first; it is the main button.
    """

    tone: Tone
    headline: str
    words: str
    actions: tuple[BandAction, ...] = ()
