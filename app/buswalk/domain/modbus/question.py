"""What a collector must know of a request that has left: whom, what, when, and over which port."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.line_traits import Echo, LineTraits
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import ADDRESS_AND_CRC_BYTES, BROADCAST_ADDRESS, EXCEPTION_ADU_BYTES, LARGEST_ADU_BYTES
from buswalk.domain.modbus.request import AtLeast, KnownLength, NoReplyDue, Request

PAUSES_OF_A_STRANGER_S = 0.25
"""Pauses inside a frame that is not the answer are sat out for so long: devices pause up to 10 ms inside a reply."""


@dataclass(frozen=True, slots=True)
class Question:
    """One request on its way.

    Attributes:
        echo: What is known by now of the adapter hearing itself; may know more than `traits.echo`.
    """

    server_address: int
    request: Request
    request_adu: bytes
    settings: SerialSettings
    sent: Sent
    traits: LineTraits
    echo: Echo

    @property
    def reply_is_due(self) -> bool:
        """False for a broadcast, and for a request that the standard leaves without reply."""
        if self.server_address == BROADCAST_ADDRESS:
            return False
        return not isinstance(self.request.reply_length(b""), NoReplyDue)

    @property
    def least_reply_bytes(self) -> int:
        """Length of the shortest normal reply, address and CRC included; that of a refusal if none is due."""
        match self.request.reply_length(b""):
            case KnownLength(pdu_bytes) | AtLeast(pdu_bytes):
                return pdu_bytes + ADDRESS_AND_CRC_BYTES
            case NoReplyDue():
                return EXCEPTION_ADU_BYTES

    @property
    def longest_stranger_s(self) -> float:
        """How long after the time-out bytes that are no answer are still read.

        A late reply to an older request, of the longest length there is, may stand before ours; a line that never
        stops, with pauses too short to end an exchange, must not hold every request for long.
        """
        return LARGEST_ADU_BYTES * self.settings.character_s + PAUSES_OF_A_STRANGER_S
