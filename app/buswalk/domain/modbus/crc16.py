"""CRC-16 of RTU frames (MODBUS over Serial Line V1.02, 2.5.1.2 and appendix B)."""

from __future__ import annotations


def _table() -> tuple[int, ...]:
    rows: list[int] = []
    for index in range(256):
        value = index
        for _ in range(8):
            value = (value >> 1) ^ (0xA001 if value & 1 else 0)
        rows.append(value)
    return tuple(rows)


_TABLE = _table()


def crc16(data: bytes) -> int:
    """Return the CRC register after `data`: 0x1241 for `02 07` (appendix B)."""
    value = 0xFFFF
    for byte in data:
        value = (value >> 8) ^ _TABLE[(value ^ byte) & 0xFF]
    return value


def crc_bytes(data: bytes) -> bytes:
    """Return the two CRC bytes in wire order, low byte first (2.5.1.2)."""
    return crc16(data).to_bytes(2, "little")


def has_right_crc(frame: bytes) -> bool:
    """Tell whether the last two bytes are the CRC of those before; False for fewer than four bytes."""
    return len(frame) >= 4 and crc16(frame) == 0
