"""What the head line shows, as values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.ui.tones import Tone


class HeadSign(Enum):
    """What stands before a cell's words."""

    NONE = "none"
    SQUARE = "square"
    SLANT = "slant"
    CROSS = "cross"
    LOCK = "lock"
    OPEN_LOCK = "open_lock"


@dataclass(frozen=True, slots=True)
class HeadCell:
    """One cell under its caption.

    Attributes:
        forms: The words, the longest form first; the first that fits is shown, the first is read out.
    """

    caption: str
    forms: tuple[str, ...]
    sign: HeadSign = HeadSign.NONE
    tone: Tone = Tone.INK

    @property
    def words(self) -> str:
        """The whole words."""
        return self.forms[0]


@dataclass(frozen=True, slots=True)
class JobCell:
    """The job, its time, and how far it is.

    Attributes:
        share: 0 to 1 where the end is known.
    """

    words: str
    time_words: str = ""
    share: float | None = None


@dataclass(frozen=True, slots=True)
class HeadState:
    """The whole head line."""

    port: HeadCell
    held_by: HeadCell
    record: HeadCell
    writing: HeadCell
    job: JobCell
    can_stop: bool
