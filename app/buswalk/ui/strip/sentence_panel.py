"""Which sentence stands in the panel: an abnormal one stays 5 s of real time, unless a worse one comes."""

from __future__ import annotations

from buswalk.ui.outcome_kinds import Rank
from buswalk.ui.strip.slots import Sentence

STAYS_TICKS = 50


class SentencePanel:
    """Keeps one sentence, and the newest that waits behind it."""

    def __init__(self, first: Sentence) -> None:
        self._sentence = first
        self._waiting: Sentence | None = None
        self._ticks_left = 0

    @property
    def sentence(self) -> Sentence:
        """What stands there."""
        return self._sentence

    @property
    def is_tinted(self) -> bool:
        """True for 5 s after an abnormal one came, and as long as there is no port."""
        return self._ticks_left > 0

    def say(self, sentence: Sentence) -> None:
        """Show it now, or when what stands there has had its time."""
        if self._ticks_left == 0 or sentence.rank.value <= self._sentence.rank.value:
            self.replace(sentence)
        else:
            self._waiting = sentence

    def replace(self, sentence: Sentence) -> None:
        """Show it whatever stood there."""
        self._sentence = sentence
        self._waiting = None
        self._ticks_left = 0 if sentence.rank is Rank.NORMAL else STAYS_TICKS

    def tick(self) -> None:
        """A tenth of a second has passed."""
        if self._ticks_left == 0 or self._sentence.is_port_gone:
            return
        self._ticks_left -= 1
        if self._ticks_left == 0 and self._waiting is not None:
            self.replace(self._waiting)
