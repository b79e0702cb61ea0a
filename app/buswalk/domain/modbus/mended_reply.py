"""What a damaged reply would have to be so that its length, its head and its CRC fit: evidence of where the damage is.

Never a value: what is put back was not received. Only damages that the CRC can bear out are tried: up to three bytes at
the head, which are known from the request (address, function, byte count or exception code), one or both CRC bytes at
the tail, and one flipped bit. A frame of n bytes has 8 n single flips, and each wrong guess fits once in 65 536 cases.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.modbus.adu import ADDRESS_AND_CRC_BYTES, EXCEPTION_ADU_BYTES, EXCEPTION_BIT
from buswalk.domain.modbus.crc16 import crc16, crc_bytes, has_right_crc
from buswalk.domain.modbus.request import KnownLength, Request

READS = (0x01, 0x02, 0x03, 0x04)
"""Their replies tell after the function code how many bytes follow (Application V1.1b3, 6.1 to 6.4)."""
MOST_TAIL_BYTES = 2
MOST_IN_PLACE = 4
"""So many bytes may stand in place of a lost head: a pulse out of step makes one more or less."""


class Mending(Enum):
    """Where the damage is."""

    HEAD = "head"
    TAIL = "tail"
    ONE_BIT = "one_bit"


@dataclass(frozen=True, slots=True)
class MendedReply:
    """One frame that fits.

    Attributes:
        adu: The frame.
        put_back: Offsets in `adu` of bytes that were not received so.
        damaged: Offsets in what was received of bytes that are no part of it; none where bytes are only missing.
        is_borne_out: False where both CRC bytes were put back: nothing proves the bytes before them.
    """

    mending: Mending
    adu: bytes
    put_back: tuple[int, ...]
    damaged: tuple[int, ...]
    is_borne_out: bool = True


def mended_replies(server_address: int, request: Request, received: bytes) -> tuple[MendedReply, ...]:
    """Return every frame that fits, the better borne out first; more than one means that none can be told for sure.

    Args:
        received: What came, our echo taken off.
    """
    found: dict[bytes, MendedReply] = {}
    for head, length in _shapes(server_address, request, received):
        for one in (*_flips(head, length, received), *_heads(head, length, received), *_tails(head, length, received)):
            found.setdefault(one.adu, one)
    return tuple(sorted(found.values(), key=lambda one: not one.is_borne_out))


def expected_head(server_address: int, request: Request) -> bytes:
    """Return the bytes with which a normal reply must begin: address, function, and the byte count of a read."""
    head = bytes([server_address, request.function_code])
    match request.reply_length(b""):
        case KnownLength(pdu_bytes) if request.function_code in READS:
            return head + bytes([pdu_bytes - 2])
        case _:
            return head


def _shapes(server_address: int, request: Request, received: bytes) -> Iterator[tuple[bytes, int]]:
    """Yield heads with the length of their frame: the normal reply, and a refusal."""
    match request.reply_length(b""):
        case KnownLength(pdu_bytes):
            yield expected_head(server_address, request), pdu_bytes + ADDRESS_AND_CRC_BYTES
        case _:
            pass
    if len(received) <= EXCEPTION_ADU_BYTES + 1:
        yield bytes([server_address, request.function_code | EXCEPTION_BIT]), EXCEPTION_ADU_BYTES


def _heads(head: bytes, length: int, received: bytes) -> Iterator[MendedReply]:
    """Put back so many bytes of the head, in place of none or some that came."""
    for lost in range(1, len(head) + 1):
        in_place = len(received) - (length - lost)
        if not 0 <= in_place <= MOST_IN_PLACE:
            continue
        adu = head[:lost] + received[in_place:]
        is_less_lost = in_place > 0 and received[in_place - 1] == head[lost - 1]
        if is_less_lost or adu[: len(head)] != head or not has_right_crc(adu):
            continue
        differ = tuple(at for at in range(lost) if received[at : at + 1] != head[at : at + 1])
        if in_place == lost:
            yield MendedReply(Mending.HEAD, adu, differ, differ)
        else:
            yield MendedReply(Mending.HEAD, adu, tuple(range(lost)), tuple(range(in_place)))


def _flips(head: bytes, length: int, received: bytes) -> Iterator[MendedReply]:
    """Flip one bit: the CRC register is linear, so that each flip leaves its own remainder."""
    if len(received) != length:
        return
    remainder = crc16(received)
    if remainder == 0:
        return
    for bit in range(8):
        left = _remainder_of(1 << bit)
        for at in range(length - 1, -1, -1):
            if left == remainder:
                adu = bytearray(received)
                adu[at] ^= 1 << bit
                if bytes(adu[: len(head)]) == head:
                    yield MendedReply(Mending.ONE_BIT, bytes(adu), (at,), (at,))
            left = _stepped(left)


def _tails(head: bytes, length: int, received: bytes) -> Iterator[MendedReply]:
    """Put back one or both CRC bytes, in place of none or some that came."""
    for lost in range(1, MOST_TAIL_BYTES + 1):
        kept = length - lost
        if not kept <= len(received) <= length + 1 or received[: len(head)] != head:
            continue
        adu = received[: length - 2] + crc_bytes(received[: length - 2])
        if adu[:kept] != received[:kept] or has_right_crc(received[:length]):
            continue
        if lost == MOST_TAIL_BYTES and len(received) > kept:
            return  # a whole CRC that does not fit says that something is damaged, not that it is the CRC
        in_place = tuple(range(kept, len(received)))
        yield MendedReply(Mending.TAIL, adu, tuple(range(kept, length)), in_place, lost < MOST_TAIL_BYTES)
        return


def _remainder_of(byte: int) -> int:
    """Return what a byte adds to a register of 0: the preset is undone, as both registers have it."""
    return crc16(bytes([byte])) ^ crc16(b"\x00")


def _stepped(register: int) -> int:
    """Return the register after one more byte 00."""
    return (register >> 8) ^ _remainder_of(register & 0xFF)
