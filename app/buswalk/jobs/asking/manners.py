"""Where others use the line too: when a request may leave. The asker tells what it hears, and asks before it sends."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.modbus.adu import ADDRESS_AND_CRC_BYTES
from buswalk.domain.modbus.request import AtLeast, KnownLength, NoReplyDue, Request

if TYPE_CHECKING:
    from buswalk.jobs.asking.asker import AskTiming

OPEN_REPLY_BYTES = 64
"""Room for a reply whose length is not known before it comes."""


@dataclass(frozen=True, slots=True)
class ComingRequest:
    """A request that is about to leave.

    Attributes:
        reply_bytes: Of the reply that is expected, check sum included.
    """

    adu: bytes
    reply_bytes: int
    timing: AskTiming


def coming(adu: bytes, request: Request, timing: AskTiming) -> ComingRequest:
    """Return what is known of a request before it leaves."""
    match request.reply_length(b""):
        case KnownLength(pdu_bytes):
            return ComingRequest(adu, pdu_bytes + ADDRESS_AND_CRC_BYTES, timing)
        case AtLeast():
            return ComingRequest(adu, OPEN_REPLY_BYTES, timing)
        case NoReplyDue():
            return ComingRequest(adu, 0, timing)


class Manners(Protocol):
    """How others are given way."""

    def heard(self, arrival: Arrival) -> None:
        """Take what came between our exchanges."""

    def heard_in_exchange(self, arrival: Arrival) -> None:
        """Take what came within one of ours."""

    def make_room(self, request: ComingRequest) -> AskTiming:
        """Return, when it may leave, the timing with which it may; may raise what ends the job."""


class NoOthers:
    """Nobody else uses the line."""

    def heard(self, arrival: Arrival) -> None:
        """Nothing follows from it."""

    def heard_in_exchange(self, arrival: Arrival) -> None:
        """Nothing follows from it."""

    def make_room(self, request: ComingRequest) -> AskTiming:
        """Every request may leave at once."""
        return request.timing
