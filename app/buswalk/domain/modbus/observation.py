"""What was seen beside the outcome of an exchange. Any number of these may belong to one exchange."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.arrival import Mark


@dataclass(frozen=True, slots=True)
class EchoHeard:
    """Our own request came back first, unchanged."""

    byte_count: int


@dataclass(frozen=True, slots=True)
class EchoDamaged:
    """Our own request came back changed; a reply may have followed all the same."""

    heard: bytes


@dataclass(frozen=True, slots=True)
class BytesBefore:
    """Bytes before the frame that decided the outcome, not part of it."""

    data: bytes


@dataclass(frozen=True, slots=True)
class BytesAfter:
    """Bytes behind the frame that decided the outcome, not part of it."""

    data: bytes


@dataclass(frozen=True, slots=True)
class ForeignFrame:
    """A whole frame from another address, before or behind the frame that decided the outcome."""

    adu: bytes


@dataclass(frozen=True, slots=True)
class PauseInside:
    """Silence inside the reply, surely longer than t1.5 (Serial Line V1.02, 2.5.1.1).

    Attributes:
        after_byte: How many bytes of the reply came before the pause.
        not_less_than_s: Its length is at least this, adapter latency taken off.
    """

    after_byte: int
    not_less_than_s: float


@dataclass(frozen=True, slots=True)
class MarksSeen:
    """The receiver marked characters; offsets count over all bytes of the exchange, echo included."""

    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class VeryEarly:
    """The reply began sooner than a server can answer: it may belong to an earlier request."""

    turnaround_not_more_than_s: float


@dataclass(frozen=True, slots=True)
class MaybeOld:
    """An earlier request to this server was still open, and this reply could be its late answer: doubt the value."""

    open_request_number: int


Observation: TypeAlias = (
    EchoHeard | EchoDamaged | BytesBefore | BytesAfter | ForeignFrame | PauseInside | MarksSeen | VeryEarly | MaybeOld
)
