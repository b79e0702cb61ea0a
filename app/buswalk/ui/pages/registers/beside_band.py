"""The question before anything is read beside another client. Plain text."""

from __future__ import annotations

from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.pages.registers.registers_state import RegistersState
from buswalk.ui.pages.registers.state_words import ASK_NOTHING
from buswalk.ui.tones import Tone

BESIDE, LEAVE = "beside", "leave"


def beside_band(state: RegistersState) -> BandState | None:
    """Return the band; the safe way stands first and on F5."""
    if not state.question:
        return None
    return BandState(
        Tone.FOREIGN,
        "Another client is alive on this line: nothing was asked.",
        f"Reading beside it can cost it replies, and it can cost ours. {state.falls_back} Listening on is safe; Find "
        "shows who asks whom.",
        (BandAction(LEAVE, ASK_NOTHING, "F5"), BandAction(BESIDE, "They know: read beside it")),
    )
