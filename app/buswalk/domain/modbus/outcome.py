"""The closed set of what can come of one request. Exactly one of these belongs to each exchange."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.modbus.request import Reply, WrongReplyReason


@dataclass(frozen=True, slots=True)
class NormalReply:
    """The right answer, whole and with a right CRC, from the server that was asked.

    Attributes:
        adu: Its frame, address and CRC included.
        reply: What it says, typed by function code.
    """

    adu: bytes
    reply: Reply


@dataclass(frozen=True, slots=True)
class ExceptionReply:
    """The server refused, in a whole frame (Application V1.1b3, 7). It proves that the link works."""

    adu: bytes
    exception_code: int


@dataclass(frozen=True, slots=True)
class NoReply:
    """Not one byte (other than our echo) until the response timeout."""

    waited_s: float


@dataclass(frozen=True, slots=True)
class CorruptReply:
    """Bytes arrived that do not make a frame with a right CRC, and as many as expected or more.

    Attributes:
        received: All of them, echo taken off, at least one.
        expected_bytes: Length of the normal reply in bytes, address and CRC included.
    """

    received: bytes
    expected_bytes: int

    def __post_init__(self) -> None:
        if not self.received:
            raise ValueError("silence is NoReply, not CorruptReply")


@dataclass(frozen=True, slots=True)
class ShortReply:
    """Bytes arrived, fewer than a reply has, then silence.

    Attributes:
        received: All of them, echo taken off, at least one.
        expected_bytes: Length of the normal reply in bytes, address and CRC included.
    """

    received: bytes
    expected_bytes: int

    def __post_init__(self) -> None:
        if not self.received:
            raise ValueError("silence is NoReply, not ShortReply")


@dataclass(frozen=True, slots=True)
class ForeignReply:
    """A whole frame from another address, and nothing right from the one asked (Serial Line V1.02, 2.4.1)."""

    adu: bytes
    server_address: int


@dataclass(frozen=True, slots=True)
class UnexpectedReply:
    """A whole frame with a right CRC from the address asked, that is no answer to this request."""

    adu: bytes
    reason: WrongReplyReason
    sentence: str


@dataclass(frozen=True, slots=True)
class EchoOnly:
    """Only our own request came back: the adapter hears itself and the server was silent."""

    waited_s: float


@dataclass(frozen=True, slots=True)
class DamagedEcho:
    """Our request came back changed and nothing else: somebody else was sending at the same time."""

    heard: bytes


@dataclass(frozen=True, slots=True)
class BroadcastSent:
    """Sent to address 0, which nobody answers (Serial Line V1.02, 2.1)."""


class NotSentReason(Enum):
    """Why a request did not leave."""

    LINE_NOT_QUIET = "line_not_quiet"
    """Somebody else kept sending for as long as we were willing to wait."""


@dataclass(frozen=True, slots=True)
class NotSent:
    """Not one byte left."""

    reason: NotSentReason
    sentence: str


@dataclass(frozen=True, slots=True)
class Stopped:
    """The user's stop came while waiting; what had arrived until then is kept."""

    received: bytes


Outcome: TypeAlias = (
    NormalReply
    | ExceptionReply
    | NoReply
    | CorruptReply
    | ShortReply
    | ForeignReply
    | UnexpectedReply
    | EchoOnly
    | DamagedEcho
    | BroadcastSent
    | NotSent
    | Stopped
)
