"""What a text or a mark means, so that a presenter can say it without knowing a colour."""

from __future__ import annotations

from enum import Enum

from buswalk.ui.outcome_kinds import OutcomeKind, Rank, rank_of
from buswalk.ui.palettes import Colours, Hue


class Tone(Enum):
    """Roles that words can have."""

    INK = "ink"
    INK2 = "ink2"
    INK3 = "ink3"
    DOUBT = "doubt"
    FAULT = "fault"
    REFUSE = "refuse"
    FOREIGN = "foreign"


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


_OF_RANK = {
    Rank.FAULT: Tone.FAULT,
    Rank.FOREIGN: Tone.FOREIGN,
    Rank.DOUBT: Tone.DOUBT,
    Rank.REFUSE: Tone.REFUSE,
    Rank.NORMAL: Tone.INK,
}


def tone_of(kind: OutcomeKind) -> Tone:
    """Return the tone of a kind of outcome."""
    return _OF_RANK[rank_of(kind)]
