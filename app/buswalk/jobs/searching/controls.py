"""Addresses where nobody should be: who answers there too answers everywhere; bytes there are the line's own."""

from __future__ import annotations

from collections.abc import Collection

UNLIKELY_ADDRESSES = (173, 211, 94, 158, 226, 137, 201, 118)
CONTROLS = 3


def control_addresses(known: Collection[int]) -> tuple[int, ...]:
    """Return unlikely addresses that are none of those known or planned."""
    return tuple(one for one in UNLIKELY_ADDRESSES if one not in known)[:CONTROLS]
