"""The frame on the line: server address, PDU, CRC (MODBUS over Serial Line V1.02, 2.5.1.2)."""

from __future__ import annotations

from buswalk.domain.modbus.crc16 import crc_bytes

BROADCAST_ADDRESS = 0
SERVER_ADDRESSES = range(1, 248)
"""Individual addresses (Serial Line V1.02, 2.2)."""
RESERVED_ADDRESSES = range(248, 256)
LARGEST_PDU_BYTES = 253
LARGEST_ADU_BYTES = 256
SMALLEST_ADU_BYTES = 4
EXCEPTION_BIT = 0x80
EXCEPTION_ADU_BYTES = 5
ADDRESS_AND_CRC_BYTES = 3


def build_adu(server_address: int, pdu: bytes) -> bytes:
    """Return the frame that carries `pdu`.

    Raises:
        ValueError: The address is no byte, or the PDU is empty or longer than 253 bytes
            (Application V1.1b3, 4.1).
    """
    if not 0 <= server_address <= 255:
        raise ValueError(f"server address {server_address} is outside 0 to 255")
    if not 1 <= len(pdu) <= LARGEST_PDU_BYTES:
        raise ValueError(f"a PDU has 1 to {LARGEST_PDU_BYTES} bytes, not {len(pdu)}")
    body = bytes([server_address]) + pdu
    return body + crc_bytes(body)
