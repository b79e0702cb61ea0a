"""Which tone belongs to which outcome of a ping, and at what pace tones may be asked for. No Qt."""

from __future__ import annotations

from enum import Enum

from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.sounds import Sounds


class PingTone(Enum):
    """A tone: its frequency in Hz and how often it is played."""

    ANSWERED = (880.0, 1)
    NO_REPLY = (440.0, 1)
    DAMAGED = (220.0, 2)

    @property
    def frequency_hz(self) -> float:
        """Of each of its tones."""
        return self.value[0]

    @property
    def times(self) -> int:
        """How often it is played."""
        return self.value[1]


_NO_REPLY = (OutcomeKind.NO_REPLY, OutcomeKind.OWN_ECHO_ONLY, OutcomeKind.NOT_SENT, OutcomeKind.SILENT_AS_EXPECTED)
_ANSWERED = (OutcomeKind.ANSWERED, OutcomeKind.REFUSED)


def tone_of_outcome(kind: OutcomeKind) -> PingTone:
    """Return the tone of an outcome; a refusal is an answer."""
    if kind in _ANSWERED:
        return PingTone.ANSWERED
    return PingTone.NO_REPLY if kind in _NO_REPLY else PingTone.DAMAGED


class ToneQueue:
    """Asks for one tone a tick at most, so ten a second; a second tone follows at the next tick."""

    def __init__(self, sounds: Sounds) -> None:
        self._sounds = sounds
        self._left = 0
        self._tone: PingTone | None = None
        self.is_wanted = False

    @property
    def problem(self) -> str:
        """Why nothing can be heard on this computer."""
        return self._sounds.problem

    def ask(self, tone: PingTone) -> None:
        """Play this at the next tick; the latest counts, but a damage that has not been heard stays."""
        is_unheard_damage = self._tone is PingTone.DAMAGED and self._left == PingTone.DAMAGED.times
        if self.is_wanted and not is_unheard_damage:
            self._tone, self._left = tone, tone.times

    def tick(self) -> None:
        """Play what is due."""
        if self._tone is not None and self._left and self.is_wanted:
            self._left -= 1
            self._sounds.tone(self._tone.frequency_hz)
