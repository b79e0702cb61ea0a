"""16-bit registers in bytes, most significant byte first (Application V1.1b3, 4.2)."""

from __future__ import annotations


def words_to_bytes(values: tuple[int, ...]) -> bytes:
    """Return two bytes per value, in order."""
    return b"".join(value.to_bytes(2, "big") for value in values)


def bytes_to_words(data: bytes) -> tuple[int, ...]:
    """Return one value per two bytes, in wire order."""
    return tuple(int.from_bytes(data[at : at + 2], "big") for at in range(0, len(data) - 1, 2))
