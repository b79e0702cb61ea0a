"""What every request offers: its bytes, how long its reply is, and a strict look at that reply."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Protocol, TypeAlias


@dataclass(frozen=True, slots=True)
class KnownLength:
    """The reply PDU has exactly this many bytes."""

    pdu_bytes: int


@dataclass(frozen=True, slots=True)
class AtLeast:
    """The reply PDU has at least this many bytes; ask again when they are there."""

    pdu_bytes: int


@dataclass(frozen=True, slots=True)
class NoReplyDue:
    """The standard gives this request no reply (force listen only, broadcast)."""


ReplyLength: TypeAlias = KnownLength | AtLeast | NoReplyDue


class Effect(Enum):
    """What a request does to the server: the write guard decides by this."""

    READS = "reads"
    DIAGNOSES = "diagnoses"
    """Serial-line diagnostics that change nothing in the plant (07, 08 with 00, 02, 0B-12, 0B, 0C, 11, 2B/0E)."""
    WRITES = "writes"
    DISTURBS = "disturbs"
    """Silences, restarts or wipes evidence: force listen only, restart, clear counters."""


class WrongReplyReason(Enum):
    """Why a frame with a right CRC from the right address is not the answer to the request."""

    OTHER_FUNCTION = "other_function"
    OTHER_QUANTITY = "other_quantity"
    BYTE_COUNT_DISAGREES = "byte_count_disagrees"
    """The byte count does not fit the bytes that came."""
    OTHER_REGISTER_ADDRESS = "other_register_address"
    OTHER_VALUE = "other_value"
    OTHER_SUB_FUNCTION = "other_sub_function"
    NOT_A_LEGAL_REPLY = "not_a_legal_reply"
    """Its structure breaks the standard in another way; the sentence says which."""


class WrongReply(ValueError):
    """A reply PDU that is not a right answer to this request."""

    def __init__(self, reason: WrongReplyReason, sentence: str) -> None:
        super().__init__(sentence)
        self.reason = reason
        self.sentence = sentence


class Reply(Protocol):
    """A reply that was found right; each function code has its own class."""

    def __hash__(self) -> int: ...


class Request(Protocol):
    """One request without its server address. Values refuse on creation what the standard refuses."""

    @property
    def function_code(self) -> int:
        """1 to 127 (Application V1.1b3, 4.1)."""

    @property
    def effect(self) -> Effect:
        """What it does to the server."""

    def pdu(self) -> bytes:
        """Function code and data as sent."""

    def reply_length(self, so_far: bytes) -> ReplyLength:
        """Return how long a normal reply PDU is, as far as its first bytes (from the function code) tell.

        Where the request fixes the length (a read of n registers), it is known from no bytes at all.
        """

    def parse_reply(self, pdu: bytes) -> Reply:
        """Return what a normal reply PDU says.

        Raises:
            WrongReply: It is not a right answer to this very request.
        """
