"""Whether one frame heard is the answer to another, by their bytes alone (Application V1.1b3, 6 and 7)."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.listening.heard_exchange import Fit
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, EXCEPTION_BIT

_HEAD_AND_CRC_BYTES = 5
"""Address, function, byte count, CRC."""


def fit_of(request: bytes, reply: bytes) -> Fit | None:
    """Return how well the ADU `reply` answers the ADU `request`; None if it does not at all."""
    if request[0] != reply[0] or request[1] != reply[1] & 0x7F or request[0] == BROADCAST_ADDRESS:
        return None
    if reply[1] & EXCEPTION_BIT:
        return Fit.EXACT
    is_exact = _EXACT.get(request[1])
    return Fit.EXACT if is_exact is None or is_exact(request, reply) else Fit.SAME_FUNCTION


def _has_bits(request: bytes, reply: bytes) -> bool:
    quantity = request[4] << 8 | request[5]
    return len(reply) == _HEAD_AND_CRC_BYTES + (quantity + 7) // 8


def _has_registers(request: bytes, reply: bytes) -> bool:
    quantity = request[4] << 8 | request[5]
    return len(reply) == _HEAD_AND_CRC_BYTES + 2 * quantity


def _is_echo(request: bytes, reply: bytes) -> bool:
    return request == reply


def _has_same_sub_function(request: bytes, reply: bytes) -> bool:
    return request[2:4] == reply[2:4]


def _has_same_span(request: bytes, reply: bytes) -> bool:
    return request[:6] == reply[:6]


def _has_same_read_code(request: bytes, reply: bytes) -> bool:
    return request[2:4] == reply[2:4]


_EXACT: dict[int, Callable[[bytes, bytes], bool]] = {
    0x01: _has_bits,
    0x02: _has_bits,
    0x03: _has_registers,
    0x04: _has_registers,
    0x05: _is_echo,
    0x06: _is_echo,
    0x08: _has_same_sub_function,
    0x0F: _has_same_span,
    0x10: _has_same_span,
    0x16: _is_echo,
    0x17: _has_registers,
    0x2B: _has_same_read_code,
}
