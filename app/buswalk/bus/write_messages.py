"""What window and bus process say of writing: the lock, one value at a time, putting back, frames of one's own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.writing.earlier_writes import EarlierWrites
from buswalk.domain.registers.writing.intended import SecondConfirmation, Target
from buswalk.domain.registers.writing.order import WriteOrder


@dataclass(frozen=True, slots=True)
class UnlockWriting:
    """Let values be written one at a time, for five minutes by the wall; the reason is kept."""

    reason: str


@dataclass(frozen=True, slots=True)
class LockWriting:
    """Let nothing be written any more."""


@dataclass(frozen=True, slots=True)
class WriteValue:
    """Write one value. Done behind the first look; the later ones come while other things go on."""

    order: WriteOrder


@dataclass(frozen=True, slots=True)
class PutBack:
    """Put back what a write of this session replaced, if what stands there is still ours."""

    write: int
    reason: str
    confirmed: frozenset[SecondConfirmation] = frozenset()


@dataclass(frozen=True, slots=True)
class PutBackPlace:
    """Put back what stood in a place before this session or an earlier one changed it, if what stands there is ours."""

    target: Target
    reason: str
    confirmed: frozenset[SecondConfirmation] = frozenset()


@dataclass(frozen=True, slots=True)
class SendFrame:
    """Send bytes of one's own as they are, the last two in the place of the check sum.

    Attributes:
        second_confirmation: What was confirmed apart, in words, where they go to all devices or disturb one.
    """

    frame: bytes
    settings: SerialSettings
    response_timeout_s: float = 1.0
    second_confirmation: str = ""


WriteCommand: TypeAlias = WriteValue | PutBack | PutBackPlace | SendFrame


# Stream


@dataclass(frozen=True, slots=True)
class WritingTold:
    """How the lock on writing stands: told each second of the wall while it is open."""

    is_open: bool
    reason: str
    left_s: float


@dataclass(frozen=True, slots=True)
class EarlierWritesTold:
    """What the sessions before this one wrote: told once, where there is anything to tell."""

    earlier: EarlierWrites
