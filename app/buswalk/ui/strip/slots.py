"""What stands on the strip, as values: slots of exchanges, frames heard between them, cuts for pauses. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.ui.outcome_kinds import OutcomeKind, Rank, rank_of
from buswalk.ui.tones import Tone, tone_of


@dataclass(frozen=True, slots=True)
class Sentence:
    """An outcome in words.

    Attributes:
        headline: Who and what: 24 no reply in 300 ms.
        words: One more fact.
        short_headline, short_words: The same for narrow windows, broken after the outcome; '' where nothing differs.
    """

    kind: OutcomeKind | None
    headline: str
    words: str
    short_headline: str = ""
    short_words: str = ""
    exception_code: int = 0
    is_port_gone: bool = False

    @property
    def rank(self) -> Rank:
        """How far from normal."""
        if self.is_port_gone:
            return Rank.FAULT
        return rank_of(self.kind) if self.kind is not None else Rank.NORMAL

    @property
    def tone(self) -> Tone:
        """The role of words and tint; INK for normal ones, which have no tint."""
        if self.is_port_gone:
            return Tone.FAULT
        return tone_of(self.kind) if self.kind is not None else Tone.INK

    @property
    def narrow_headline(self) -> str:
        """The headline where there is little room."""
        return self.short_headline or self.headline

    @property
    def narrow_words(self) -> str:
        """What stands below it there."""
        return self.short_words or self.words


@dataclass(frozen=True, slots=True)
class Slot:
    """One exchange.

    Attributes:
        label: The address over it, or '' where it is left out.
        is_bold: Of an abnormal outcome.
        lean: Where in the slot the reply stands: 0 at 2 ms, 1 at the end of the wait.
        has_stray_before, has_stray_after: Bytes beside the frame.
        begins_second: A full second of line time begins here.
    """

    number: int
    server_address: int
    kind: OutcomeKind
    sentence: Sentence
    label: str = ""
    is_bold: bool = False
    exception_code: int = 0
    lean: float = 0.0
    has_echo: bool = False
    has_stray_before: bool = False
    has_stray_after: bool = False
    begins_second: bool = False
    ended_s: float = 0.0


@dataclass(frozen=True, slots=True)
class HeardSlot:
    """What nobody had asked for: a foreign frame, or stray bytes; it has no peg."""

    kind: OutcomeKind
    sentence: Sentence
    at_s: float


@dataclass(frozen=True, slots=True)
class Cut:
    """A pause: the wire is cut, its length stands under the cut."""

    words: str
    seconds: float


StripItem: TypeAlias = Slot | HeardSlot | Cut


class StripMode(Enum):
    """What the end of the strip shows."""

    LINE = "line"
    NO_PORT = "no_port"


@dataclass(frozen=True, slots=True)
class StripState:
    """Everything that the strip shows.

    Attributes:
        items: The oldest first; the last one stands at the upright of now.
        share_words: '1 in 4 shown' where normal ones are skipped, else ''.
        chosen: Index from the end of the item under the cursor, 0 the newest; None without a cursor.
        sentence: What the panel says, and whether it keeps its tint.
        lost_words: 'no port since 10:14:08'.
        spoken: The accessible name: Line strip, last: 24 no reply in 300 ms.
        announced: What a reader says unasked: abnormal outcomes only, at most one in 5 s.
    """

    items: tuple[StripItem, ...]
    sentence: Sentence
    spoken: str
    share_words: str = ""
    chosen: int | None = None
    is_held: bool = False
    mode: StripMode = StripMode.LINE
    lost_words: str = ""
    is_tinted: bool = False
    announced: str = ""
