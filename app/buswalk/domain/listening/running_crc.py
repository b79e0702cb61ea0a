"""The CRC of every span of a run of bytes, each for the price of one comparison.

The CRC register is linear in its bytes. Let F be what a byte 00 does to the register, and T[d] what a byte d adds. Then
a span [a, b) that begins with the register s is left with F^(b-a)(s) xor the sum of F^(b-1-j) T[d_j]. Undoing F^b gives
a sum that can be kept running over all bytes, whatever span is asked for: the register is 0 exactly if

    Q[b] xor Q[a] = F^-a (0xFFFF)        with Q[n] = xor over j < n of F^-(j+1) T[d_j]

A frame is right if the register over all of it, CRC bytes included, ends at 0 (MODBUS over Serial Line V1.02, 2.5.1.2
and appendix B: the CRC is sent low byte first).
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.modbus.crc16 import crc16

REACH = 256
"""The longest span, in bytes: no frame is longer (Serial Line V1.02, 2.5.1)."""
_BLOCK = 512
"""Rows of the table of F^-(j+1) T[d]; with these it stays in the second-level cache of small machines."""
_PRESET = 0xFFFF

Bytes8 = NDArray[np.uint8]
Words16 = NDArray[np.uint16]
Offsets = NDArray[np.intp]
Flags = NDArray[np.bool_]


class RunningCrc:
    """Answers for spans of `data` of at most 256 bytes; costs about ten nanoseconds a byte once, and little a span."""

    def __init__(self, data: Bytes8) -> None:
        rows = max(1, -(-len(data) // _BLOCK))
        padded = np.zeros(rows * _BLOCK + REACH, dtype=np.uint8)
        padded[: len(data)] = data
        width = _BLOCK + REACH
        overlapping = np.lib.stride_tricks.as_strided(padded, (rows, width), (_BLOCK, 1), writeable=False)
        at = np.arange(width, dtype=np.intp) * 256 + overlapping
        self._running = np.zeros((rows, width + 1), dtype=np.uint16)
        np.bitwise_xor.accumulate(_weights().take(at), axis=1, out=self._running[:, 1:])

    def is_right(self, begins: Offsets, ends: Offsets) -> Flags:
        """Tell of each span whether its last two bytes are the CRC of those before."""
        row, column = np.divmod(begins, _BLOCK)
        flat = self._running.reshape(-1)
        at = row * self._running.shape[1] + column
        sums: Words16 = flat[at] ^ flat[at + (ends - begins)]
        right: Flags = sums == _presets()[column]
        return right


@cache
def _weights() -> Words16:
    """Return F^-(j+1) T[d], flat, `d` running fastest."""
    table = _byte_table()
    rows = np.empty((_BLOCK + REACH, 256), dtype=np.uint16)
    value = table
    for row in rows:
        value = _undone(value)
        row[:] = value
    rows.setflags(write=False)
    return rows.reshape(-1)


@cache
def _presets() -> Words16:
    """Return F^-a (0xFFFF) for each place in a block."""
    values = np.empty(_BLOCK, dtype=np.uint16)
    value = np.array([_PRESET], dtype=np.uint16)
    for at in range(_BLOCK):
        values[at] = value[0]
        value = _undone(value)
    values.setflags(write=False)
    return values


def _undone(registers: Words16) -> Words16:
    """Return F^-1: F(s) = (s >> 8) ^ T[s & 0xFF], and the high byte of T[i] tells i."""
    table = _byte_table()
    index = _index_by_high_byte()[registers >> 8]
    undone: Words16 = ((registers ^ table[index]) << 8) | index
    return undone.astype(np.uint16)


@cache
def _byte_table() -> Words16:
    """Return what each byte adds to a register of 0. `crc16` begins with 0xFFFF, which is undone here."""
    return np.array([crc16(bytes([byte ^ 0xFF])) ^ 0x00FF for byte in range(256)], dtype=np.uint16)


@cache
def _index_by_high_byte() -> Words16:
    index = np.empty(256, dtype=np.uint16)
    index[_byte_table() >> 8] = np.arange(256, dtype=np.uint16)
    return index
