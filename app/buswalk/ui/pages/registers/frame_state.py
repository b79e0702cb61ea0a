"""All that the view Bytes shows, finished: bytes of one's own, what they are, and the exchange. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.ui.pages.faults.exchange_state import ExchangeState
from buswalk.ui.table_cells import Row
from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class FrameState:
    """Bytes as typed, and what would leave.

    Attributes:
        check_sum: Which of the three ways is chosen, in the order of the segment.
        leaves: Every byte that would leave.
        meaning: To whom, which function, at which setting; or what is wrong with what was typed.
        confirm: What must be confirmed apart; empty for nothing.
        refusal: Why nothing can be sent; empty if it can.
        sent: Frames of this session, the last one first.
    """

    typed: str = ""
    check_sum: int = 0
    wait: str = "1"
    leaves: str = ""
    meaning: str = ""
    meaning_tone: Tone = Tone.INK2
    cautions: tuple[str, ...] = ()
    confirm: str = ""
    is_confirmed: bool = False
    refusal: str = ""
    told: str = ""
    told_tone: Tone = Tone.INK2
    exchange: ExchangeState | None = None
    sent: tuple[Row, ...] = ()
