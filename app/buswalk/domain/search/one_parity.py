"""Reads whose bytes all have one parity weight, so that one transmission with two stop bits serves two framings.

Sent as 8N2, a byte with an odd number of ones looks, bit for bit, like that byte as 8E1: the first stop bit is where
the even parity bit would be, and is 1 as that is. With an even number of ones it looks like 8O1. A receiver without
parity takes both, for it tests its first stop bit only. The second stop bit must really be sent.
"""

from __future__ import annotations

from functools import cache

from buswalk.domain.line.serial_settings import Parity
from buswalk.domain.modbus.adu import SERVER_ADDRESSES, build_adu
from buswalk.domain.modbus.functions.read_coils import LARGEST_QUANTITY as MOST_COILS
from buswalk.domain.modbus.functions.read_coils import ReadCoils
from buswalk.domain.modbus.functions.read_holding_registers import LARGEST_QUANTITY as MOST_REGISTERS
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters

LEAST_COILS = 257
"""The high byte of a quantity below is 0, which has an even number of ones; 01 01 is the first with two odd bytes."""
HIGHEST_ADDRESS = 0xFFFF


def is_odd_weight(byte: int) -> bool:
    """Tell whether a byte has an odd number of ones."""
    return bool(byte.bit_count() & 1)


def parity_served(server_address: int) -> Parity:
    """Return which parity the one-parity read of this address serves beside none: its first byte decides."""
    return Parity.EVEN if is_odd_weight(server_address) else Parity.ODD


@cache
def one_parity_read(server_address: int) -> ReadCoils | ReadHoldingRegisters:
    """Return the read for this address: function 01 for one of odd weight, 03 for one of even weight.

    It asks for as little and starts as high as can be, where little is mapped: the usual answer is a refusal.

    Raises:
        ValueError: The address is no server's, 1 to 247 (Serial Line V1.02, 2.2).
    """
    if server_address not in SERVER_ADDRESSES:
        raise ValueError(f"address {server_address} is no server's: servers have 1 to 247")
    is_odd = is_odd_weight(server_address)
    quantities = range(LEAST_COILS, MOST_COILS + 1) if is_odd else range(1, MOST_REGISTERS + 1)
    for quantity in quantities:
        if not _all_alike(quantity.to_bytes(2, "big"), is_odd=is_odd):
            continue
        for start in range(HIGHEST_ADDRESS + 1 - quantity, -1, -1):
            if not _all_alike(start.to_bytes(2, "big"), is_odd=is_odd):
                continue
            request = ReadCoils(start, quantity) if is_odd else ReadHoldingRegisters(start, quantity)
            if _all_alike(build_adu(server_address, request.pdu()), is_odd=is_odd):
                return request
    raise AssertionError(f"no read of one parity for address {server_address}")


def _all_alike(data: bytes, *, is_odd: bool) -> bool:
    return all(is_odd_weight(byte) == is_odd for byte in data)
