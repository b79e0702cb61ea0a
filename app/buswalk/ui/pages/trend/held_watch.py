"""A watch of Trend that asked nothing because another client is alive: said until it is closed. Plain Python."""

from __future__ import annotations

from buswalk.domain.search.events import LivingLine
from buswalk.domain.visit.session_events import JobEnded, SessionStarted
from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.tones import Tone

LEAVE = "leave"
ELSEWHERE = "Registers (F5) and Faults (F5) can ask beside it, after a question."


class HeldWatch:
    """Follows the stream; other pages have watches too, and say themselves what held them."""

    def __init__(self) -> None:
        self._is_ours = False
        self.is_held = False

    def started(self) -> None:
        """The watch that begins next is of this page."""
        self._is_ours, self.is_held = True, False

    def take(self, event: object) -> None:
        """Take one event."""
        match event:
            case LivingLine():
                self.is_held = self._is_ours
            case JobEnded():
                self._is_ours = False
            case SessionStarted():
                self._is_ours = self.is_held = False
            case _:
                pass

    def leave(self) -> None:
        """It was read."""
        self.is_held = False

    def band(self, beside: str) -> BandState | None:
        """Return what is said, with what may follow where the other client is held up; None where nothing is held."""
        if not self.is_held:
            return None
        return BandState(
            Tone.FOREIGN,
            "Another client is alive on this line: nothing was asked",
            f"{beside} {ELSEWHERE}".lstrip(),
            (BandAction(LEAVE, "Close"),),
        )
