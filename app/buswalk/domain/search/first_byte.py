"""What a receiver in other settings makes of the first byte of a reply: a start edge, then samples by its own clock.

The first bits of a reply are known before it comes: the address, the function with or without the bit of a refusal, and
mostly the byte behind it. A receiver that was quiet before samples these bits and no others.
"""

from __future__ import annotations

from functools import lru_cache

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.modbus.adu import EXCEPTION_BIT

THIRD_BYTES = {0x01: 1, 0x03: 2, 0x04: 2}
"""Bytes that follow in the reply to one coil or one register (Application V1.1b3, 6.1, 6.3, 6.4)."""
USUAL_EXCEPTIONS = (0x01, 0x02)
DATA_BITS = 8
CLOSE_TO_AN_EDGE = 0.1
"""Of a bit of the sender: clocks differ, and a middle may lie on an edge, as where 57600 hears 38400."""
KEPT = 1 << 14


@lru_cache(maxsize=KEPT)
def first_bytes_heard(
    sent_in: SerialSettings, server_address: int, function: int, heard_in: SerialSettings
) -> frozenset[int]:
    """Return which bytes may be heard first when this address answers; empty where that hangs on what is not known.

    A receiver of lower speed may take a start bit for a spike: of those nothing is told.
    """
    if heard_in.baud_rate < sent_in.baud_rate:
        return frozenset()
    heads = [bytes([server_address, function, THIRD_BYTES[function]])]
    heads += [bytes([server_address, function | EXCEPTION_BIT, code]) for code in USUAL_EXCEPTIONS]
    stop_bits = (1, 2) if sent_in.parity is Parity.NONE else (1,)
    bits_a_sample = heard_in.bit_s / sent_in.bit_s
    return frozenset(
        byte
        for head in heads
        for stops in stop_bits
        for byte in _first_bytes(_levels(head, sent_in, stops), bits_a_sample)
    )


def _levels(head: bytes, sent_in: SerialSettings, stop_bits: int) -> list[int]:
    levels: list[int] = []
    for byte in head:
        levels.append(0)
        levels += [byte >> place & 1 for place in range(DATA_BITS)]
        if sent_in.parity is not Parity.NONE:
            levels.append((byte.bit_count() + (sent_in.parity is Parity.ODD)) & 1)
        levels += [1] * stop_bits
    return levels


def _first_bytes(levels: list[int], bits_a_sample: float) -> set[int]:
    """Return what stands in the middle of each data bit; where that is close to an edge, it may be either level."""
    bytes_heard = {0}
    for place in range(DATA_BITS):
        middle = (1.5 + place) * bits_a_sample
        near = {levels[int(middle - CLOSE_TO_AN_EDGE)], levels[int(middle + CLOSE_TO_AN_EDGE)]}
        bytes_heard = {byte | level << place for byte in bytes_heard for level in near}
    return bytes_heard
