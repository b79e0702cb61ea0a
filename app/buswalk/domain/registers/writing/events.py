"""What a guarded write leaves in the record. Frozen; the first is there before a byte leaves.

    WriteBegun   Written   ReadBack (at once)   ReadBack (2 s)   (10 s)   (60 s)   WriteJudged
        |            |          |                                                      |
    old value      reply     never stopped between writing and this              what became of it

Between the later ones anything else may happen on the line. A write whose `WriteJudged` is missing was broken off.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.registers.writing.intended import IntendedWrite
from buswalk.domain.registers.writing.verdict import Verdict


class LockedBecause(Enum):
    """Why writing is locked again."""

    USER = "user"
    TIME_IS_OVER = "time_is_over"
    PORT_CLOSED = "port_closed"


@dataclass(frozen=True, slots=True)
class WritingUnlocked:
    """Values can be written one at a time from now on, for so long by the wall."""

    reason: str
    open_for_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class WritingLocked:
    """Nothing can be written from now on."""

    because: LockedBecause
    at_s: float


@dataclass(frozen=True, slots=True)
class OldRead:
    """What stood there before.

    Attributes:
        exchange: Number of the exchange that read it.
    """

    words: tuple[int, ...]
    exchange: int


@dataclass(frozen=True, slots=True)
class OldNotRead:
    """What stood there is not known, so it cannot be put back.

    Attributes:
        is_silent: Nothing answered at all.
    """

    why: str
    is_silent: bool = False


OldValue: TypeAlias = OldRead | OldNotRead


@dataclass(frozen=True, slots=True)
class WriteBegun:
    """A value is about to be written.

    Attributes:
        write: Counted from 1 in a session.
        puts_back: The write whose old value this is; 0 if it is none of this session.
        puts_back_of: The session whose write it is, where that was an earlier one.
    """

    write: int
    intended: IntendedWrite
    old: OldValue
    reason: str
    at_s: float
    puts_back: int = 0
    puts_back_of: str = ""


class WriteAnswer(Enum):
    """What the device said to a write. It is no proof: only reading back is."""

    CONFIRMED = "confirmed"
    REFUSED = "refused"
    SILENT = "silent"
    DAMAGED = "damaged"
    """Something came that is no right answer."""
    FROM_ANOTHER = "from_another"
    """A whole reply came, from another address than was asked: as from a device that has taken a new one."""
    NOT_SENT = "not_sent"
    NOBODY_ANSWERS = "nobody_answers"
    """It went to all devices."""


@dataclass(frozen=True, slots=True)
class Written:
    """The request has left, and this came.

    Attributes:
        exception_code: Of a refusal; 0 else.
    """

    write: int
    exchange: int
    function: int
    answer: WriteAnswer
    exception_code: int
    at_s: float


@dataclass(frozen=True, slots=True)
class ReadBack:
    """One look at what stands there now.

    Attributes:
        after_s: The look that was due: 0, 2, 10 or 60 s after the write.
        words: Empty where nothing could be read.
        verdict: By this look and those before it.
    """

    write: int
    after_s: float
    exchange: int
    words: tuple[int, ...]
    verdict: Verdict
    at_s: float


@dataclass(frozen=True, slots=True)
class WriteJudged:
    """What became of it by the last look; `sentence` says it to people."""

    write: int
    verdict: Verdict
    sentence: str
    at_s: float


@dataclass(frozen=True, slots=True)
class WriteGivenUp:
    """It was not written: what stood there is not what was shown, could not be read, or leave was gone."""

    intended: IntendedWrite
    sentence: str
    at_s: float


@dataclass(frozen=True, slots=True)
class FoundAsBefore:
    """It was to be put back, and what stood there before our first write stands there already; nothing is written.

    Attributes:
        exchange: Number of the exchange that read it.
    """

    intended: IntendedWrite
    words: tuple[int, ...]
    exchange: int
    at_s: float


WriteEvent: TypeAlias = (
    WritingUnlocked | WritingLocked | WriteBegun | Written | ReadBack | WriteJudged | WriteGivenUp | FoundAsBefore
)
