"""Everything the page Plan shows, finished."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.ui.band_state import BandState
from buswalk.ui.table_cells import Row
from buswalk.ui.tones import Tone


class CheckSign(Enum):
    """Before a finding of the plan as a whole."""

    HOLDS = "holds"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True)
class CheckItem:
    """One thing that was looked at."""

    sign: CheckSign
    headline: str
    words: str


@dataclass(frozen=True, slots=True)
class Fact:
    """A caption and its value, side by side."""

    caption: str
    value: str
    tone: Tone = Tone.INK


@dataclass(frozen=True, slots=True)
class PlaceState:
    """One place in detail.

    Attributes:
        address, answers: The planned address, and at what it answers: the two large values.
        open_points: What is still to be written.
    """

    title: str
    name: str
    address: str
    answers: str
    answers_tone: Tone
    facts: tuple[Fact, ...]
    open_points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StrangersState:
    """What answers and is not planned."""

    headline: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PreviewState:
    """A list that was brought in and is not taken yet.

    Attributes:
        rows: Beside what stands there now: address, device, setting, board, where, what would happen.
        troubles: One sentence each.
        replace_words, add_words: Of the two buttons.
    """

    title: str
    sentence: str
    rows: tuple[Row, ...]
    troubles: tuple[str, ...]
    replace_words: str
    add_words: str


@dataclass(frozen=True, slots=True)
class PlanState:
    """The page.

    Attributes:
        main_refused: Why F5 does nothing now; empty if it does.
        troubles: Of the list that was taken last, one sentence each.
        undo_words: What Ctrl+Z takes back; empty if nothing.
        told: What the last export or the like came to.
    """

    sentence: str
    sentence_tone: Tone
    title: str
    rows: tuple[Row, ...]
    chosen: int
    checks: tuple[CheckItem, ...]
    place: PlaceState | None
    strangers: StrangersState | None
    band: BandState | None
    troubles: tuple[str, ...]
    preview: PreviewState | None
    main_refused: str
    undo_words: str
    told: str

    @property
    def is_empty(self) -> bool:
        """Whether no device is planned and none is being looked at."""
        return not self.rows and self.preview is None
