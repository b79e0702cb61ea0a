"""What a text or a mark means, so that a presenter can say it without knowing a colour. Plain Python."""

from __future__ import annotations

from enum import Enum

from buswalk.ui.outcome_kinds import OutcomeKind, Rank, rank_of


class Tone(Enum):
    """Roles that words can have."""

    INK = "ink"
    INK2 = "ink2"
    INK3 = "ink3"
    DOUBT = "doubt"
    FAULT = "fault"
    REFUSE = "refuse"
    FOREIGN = "foreign"


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
