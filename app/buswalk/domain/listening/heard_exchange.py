"""What was heard, decided: exchanges of others, requests without a reply, replies without a request, and the rest.

Each byte heard is in exactly one of these. Offsets count from the first byte heard.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple, TypeAlias

from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.exchange import NoTurnaround, Turnaround, TurnaroundSeen
from buswalk.domain.modbus.frame_splitter import Frame, Role, Skipped


class HeardFrame(NamedTuple):
    """A whole frame with a right CRC. A tuple, for there are many: it is made in a third of the time of a dataclass.

    Its first start bit and its last stop bit lie within these times; minus infinity to infinity where bytes came
    without times.
    """

    offset: int
    adu: bytes
    begun_not_before_s: float
    begun_not_after_s: float
    ended_not_before_s: float
    ended_not_after_s: float

    @property
    def server_address(self) -> int:
        """Who is asked, or answers."""
        return self.adu[0]

    @property
    def function_code(self) -> int:
        """What is asked for, exception bit taken off."""
        return self.adu[1] & ~EXCEPTION_BIT

    @property
    def pdu(self) -> bytes:
        """Without address and CRC."""
        return self.adu[1:-2]

    @property
    def is_refusal(self) -> bool:
        """Whether it is an exception reply."""
        return bool(self.adu[1] & EXCEPTION_BIT)


class Fit(Enum):
    """How well a reply fits its request."""

    EXACT = "exact"
    """Address, function, and as far as the standard fixes them length and content."""
    SAME_FUNCTION = "same_function"
    """Address and function only: another quantity, register or value than was asked for."""


@dataclass(frozen=True, slots=True)
class HeardExchange:
    """A request of another client and its reply."""

    request: HeardFrame
    reply: HeardFrame
    fit: Fit

    @property
    def turnaround(self) -> TurnaroundSeen:
        """End of the request to the first bit of the reply."""
        least_s = self.reply.begun_not_before_s - self.request.ended_not_after_s
        most_s = self.reply.begun_not_after_s - self.request.ended_not_before_s
        if not math.isfinite(most_s):
            return NoTurnaround()
        return Turnaround(max(0.0, least_s), max(0.0, most_s))


@dataclass(frozen=True, slots=True)
class UnansweredRequest:
    """A request whose reply was not heard whole."""

    request: HeardFrame


@dataclass(frozen=True, slots=True)
class HeardBroadcast:
    """A request to all, which none answers (Serial Line V1.02, 2.1)."""

    request: HeardFrame


@dataclass(frozen=True, slots=True)
class UnaskedReply:
    """A reply whose request was not heard whole."""

    reply: HeardFrame


HeardPiece: TypeAlias = HeardExchange | UnansweredRequest | HeardBroadcast | UnaskedReply | Skipped


def frames_with_roles(pieces: Iterable[HeardPiece]) -> tuple[Frame, ...]:
    """Return the whole frames among pieces in the order in which they were heard, each with its role."""
    frames: list[Frame] = []
    for piece in pieces:
        match piece:
            case HeardExchange(request, reply, _):
                frames += [_as_frame(request, Role.REQUEST), _as_frame(reply, Role.REPLY)]
            case UnansweredRequest(request) | HeardBroadcast(request):
                frames.append(_as_frame(request, Role.REQUEST))
            case UnaskedReply(reply):
                frames.append(_as_frame(reply, Role.REPLY))
            case Skipped():
                pass
    return tuple(sorted(frames, key=lambda one: one.offset))


def _as_frame(heard: HeardFrame, role: Role) -> Frame:
    return Frame(heard.offset, heard.adu, role)
