"""One exchange as the page draws it: rows of bytes in boxes, their meaning under braces, words beside. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.tones import Tone


class BoxLook(Enum):
    """How a byte's box is drawn; the value is what a reader says of it."""

    PLAIN = ""
    DAMAGED = "damaged"
    """Torn lower edge, fault."""
    STRAY = "stray"
    FOREIGN = "foreign"
    PUT_BACK = "put back"
    """Dashed: evidence, not counted as read."""
    MISSING = "did not come"
    """Dashed and empty."""


@dataclass(frozen=True, slots=True)
class ByteBox:
    """One byte; `words` is two figures, or a sign where it is not known."""

    words: str
    look: BoxLook = BoxLook.PLAIN


@dataclass(frozen=True, slots=True)
class Brace:
    """So many boxes from `first` on, and what they mean, short enough to stand under them.

    Attributes:
        told: The same in full, for readers and copies.
    """

    first: int
    count: int
    words: str
    told: str
    tone: Tone = Tone.INK2


@dataclass(frozen=True, slots=True)
class BesideWords:
    """One line beside a row of boxes."""

    words: str
    tone: Tone = Tone.INK2


@dataclass(frozen=True, slots=True)
class FrameRow:
    """One row.

    Attributes:
        label: Asked, Came back, If mended.
        under: Time of day, or what was put back.
        is_request: With the request's peg before it.
        kind: Shape before it.
    """

    label: str
    under: str
    boxes: tuple[ByteBox, ...] = ()
    braces: tuple[Brace, ...] = ()
    beside: tuple[BesideWords, ...] = ()
    tone: Tone = Tone.INK
    is_request: bool = False
    kind: OutcomeKind | None = None
    exception_code: int = 0

    @property
    def told(self) -> str:
        """All of it in words."""
        parts = [f"{self.label} {self.under}".strip()]
        for brace in self.braces:
            data = " ".join(one.words for one in self.boxes[brace.first : brace.first + brace.count])
            looks = {one.look.value for one in self.boxes[brace.first : brace.first + brace.count]} - {""}
            parts.append(f"{data}: {', '.join([brace.told, *sorted(looks)])}")
        return "; ".join([*parts, *(one.words for one in self.beside)])


@dataclass(frozen=True, slots=True)
class ExchangeState:
    """The chosen exchange.

    Attributes:
        title: Exchange 2 961 of 3 214: 22, damaged.
        notes: What was seen beside: marks of the receiver, pauses, late replies.
        copied: All its bytes as text, for Ctrl+Shift+C.
    """

    number: int
    title: str
    rows: tuple[FrameRow, ...]
    notes: tuple[BesideWords, ...]
    copied: str
