"""What listening without sending says. Frozen: once said, never changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.who_asks import RepeatedRequest, UnaskedReplies
from buswalk.domain.modbus.frame_splitter import Frame
from buswalk.domain.search.events import Verdict


@dataclass(frozen=True, slots=True)
class Heard:
    """Something came."""

    arrival: Arrival


@dataclass(frozen=True, slots=True)
class ListeningEnded:
    """What it amounts to.

    Attributes:
        frames: Whole frames in order, each with the role that order and length give it.
        requests: Who was asked what, how often, and how it was answered.
        unasked_replies: Replies whose requests were not heard whole.
    """

    settings: SerialSettings
    seconds: float
    verdict: Verdict
    byte_count: int
    frames: tuple[Frame, ...]
    requests: tuple[RepeatedRequest, ...] = ()
    unasked_replies: tuple[UnaskedReplies, ...] = ()


ListeningEvent: TypeAlias = Heard | ListeningEnded
