"""What the bytes of a request do to a server, whatever it says of itself."""

from __future__ import annotations

from buswalk.domain.modbus.request import Effect

_READING = frozenset({0x01, 0x02, 0x03, 0x04})
_DIAGNOSING = frozenset({0x07, 0x0B, 0x0C, 0x11})
_DIAGNOSE = 0x08
_DIAGNOSING_SUB_FUNCTIONS = frozenset({0x00, 0x02, *range(0x0B, 0x13)})
_DEVICE_IDENTIFICATION = bytes([0x2B, 0x0E])
"""Application V1.1b3, 6: what of its functions only reads. All others count as writes."""


def effect_of(pdu: bytes) -> Effect:
    """Return what the bytes of a request do to a server; what is not known to be harmless writes."""
    if pdu[0] in _READING:
        return Effect.READS
    if pdu[0] in _DIAGNOSING or pdu[:2] == _DEVICE_IDENTIFICATION:
        return Effect.DIAGNOSES
    if pdu[0] != _DIAGNOSE:
        return Effect.WRITES
    is_known = len(pdu) >= 3 and int.from_bytes(pdu[1:3], "big") in _DIAGNOSING_SUB_FUNCTIONS
    return Effect.DIAGNOSES if is_known else Effect.DISTURBS
