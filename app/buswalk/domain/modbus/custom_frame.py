"""Bytes of one's own as a request: any function, any content, a right or a wrong check sum."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.domain.modbus.adu import LARGEST_ADU_BYTES, SMALLEST_ADU_BYTES
from buswalk.domain.modbus.crc16 import crc16, crc_bytes
from buswalk.domain.modbus.functions.table import function_row, pdu_length
from buswalk.domain.modbus.request import AtLeast, Effect, KnownLength, ReplyLength, Request

_CRC_BYTES = 2


class CheckSum(Enum):
    """What becomes of the check sum of bytes of one's own."""

    RIGHT = "right"
    WRONG = "wrong"
    """Every bit of it is turned, so that it is wrong for certain."""
    AS_TYPED = "as-typed"
    """The last two bytes are it already."""


def framed(data: bytes, check_sum: CheckSum) -> bytes:
    """Return bytes with the check sum that was chosen behind them."""
    match check_sum:
        case CheckSum.RIGHT:
            return data + crc_bytes(data)
        case CheckSum.WRONG:
            return data + bytes(byte ^ 0xFF for byte in crc_bytes(data))
        case CheckSum.AS_TYPED:
            return data


@dataclass(frozen=True, slots=True)
class CustomReply:
    """What a server said to bytes of one's own: nothing is known of it but its bytes."""

    pdu: bytes


@dataclass(frozen=True, slots=True)
class CustomFrame:
    """A whole frame as it is sent, its last two bytes in the place of the check sum.

    Raises:
        ValueError: It has fewer bytes than address, function and check sum, or more than a frame can have.
    """

    frame: bytes

    def __post_init__(self) -> None:
        if not SMALLEST_ADU_BYTES <= len(self.frame) <= LARGEST_ADU_BYTES:
            raise ValueError(
                f"a frame has {SMALLEST_ADU_BYTES} to {LARGEST_ADU_BYTES} bytes with its check sum, not "
                f"{len(self.frame)}"
            )

    @property
    def function_code(self) -> int:
        """Its second byte, whatever that is."""
        return self.frame[1]

    @property
    def effect(self) -> Effect:
        """Nobody knows: so it writes."""
        return Effect.WRITES

    def pdu(self) -> bytes:
        """What stands between address and check sum."""
        return self.frame[1:-2]

    def reply_length(self, so_far: bytes) -> ReplyLength:
        """As the standard has it for this function, else all that came: silence ends it."""
        row = function_row(self.function_code)
        if row is not None:
            return pdu_length(row.reply_length, so_far)
        if len(so_far) <= _CRC_BYTES:
            return AtLeast(1)
        return KnownLength(len(so_far) - _CRC_BYTES)

    def parse_reply(self, pdu: bytes) -> CustomReply:
        """Return the bytes."""
        return CustomReply(pdu)


def request_in(frame: bytes) -> Request:
    """Return the request that a frame is: one of the standard where its check sum and content are right.

    Raises:
        ValueError: It is too short or too long for a frame.
    """
    custom = CustomFrame(frame)
    row = function_row(custom.function_code)
    if crc16(frame) != 0 or row is None:
        return custom
    try:
        request = row.parse_request(custom.pdu())
    except ValueError:
        return custom
    return request if request.pdu() == custom.pdu() else custom
