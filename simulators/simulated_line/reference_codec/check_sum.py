"""CRC-16 bit by bit, as the standard describes it (MODBUS over Serial Line V1.02, appendix B 6.2.2)."""

from __future__ import annotations

from functools import lru_cache


@lru_cache(maxsize=8192)
def check_sum(body: bytes) -> bytes:
    """Return the two bytes that close a frame, low byte first."""
    register = 0xFFFF
    for byte in body:
        register ^= byte
        for _ in range(8):
            carry = register & 1
            register >>= 1
            if carry:
                register ^= 0xA001
    return bytes((register & 0xFF, register >> 8))


def closed(body: bytes) -> bytes:
    """Return a frame: address and PDU, then the check sum."""
    return body + check_sum(body)


@lru_cache(maxsize=8192)
def is_closed_right(frame: bytes) -> bool:
    """Tell whether a frame of at least four bytes ends with the check sum of the rest; each server asks it of each."""
    return len(frame) >= 4 and check_sum(frame[:-2]) == frame[-2:]
