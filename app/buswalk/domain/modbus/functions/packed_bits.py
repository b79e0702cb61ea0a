"""Bits in bytes: the first one is the lowest bit of the first byte (Application V1.1b3, 6.1)."""

from __future__ import annotations

from buswalk.domain.modbus.request import WrongReply, WrongReplyReason


def byte_count_of_bits(quantity: int) -> int:
    """Return how many bytes carry so many bits."""
    return (quantity + 7) // 8


def pack_bits(states: tuple[bool, ...]) -> bytes:
    """Return the bytes that carry `states`; unused high bits are zero."""
    packed = bytearray(byte_count_of_bits(len(states)))
    for index, is_on in enumerate(states):
        packed[index // 8] |= is_on << (index % 8)
    return bytes(packed)


def unpack_bits(data: bytes, quantity: int) -> tuple[bool, ...]:
    """Return the first `quantity` bits, one entry per bit, in order.

    Raises:
        WrongReply: An unused bit of the last byte is set; the standard pads with zeros, so such a
            reply may be one to another quantity.
    """
    if data and quantity % 8 and data[-1] >> (quantity % 8):
        raise WrongReply(
            WrongReplyReason.OTHER_QUANTITY,
            f"bits beyond the {quantity} asked for are set: the reply may belong to another quantity",
        )
    return tuple(bool(data[index // 8] >> (index % 8) & 1) for index in range(quantity))
