"""What every other server is asked beside ours: four tables of 48 cells, and requests that read, write, refuse."""

from __future__ import annotations

import struct

from simulated_line.reference_codec.check_sum import closed
from simulated_line.servers.answers import Answerer, Refused
from simulated_line.servers.register_map import RegisterMap, Table

QUANTITY = 48
"""A multiple of 16: pymodbus pads a table of bits to whole words, and answers for bits that are not there."""
SERVER = 5


def our_server() -> Answerer:
    """Tables filled by the same rules as those of the others."""
    registers = RegisterMap()
    registers.put(Table.HOLDING_REGISTERS, 0, *range(1000, 1000 + QUANTITY))
    registers.put(Table.INPUT_REGISTERS, 0, *range(2000, 2000 + QUANTITY))
    registers.put(Table.COILS, 0, *(int(at % 3 == 0) for at in range(QUANTITY)))
    registers.put(Table.DISCRETE_INPUTS, 0, *(int(at % 5 == 0) for at in range(QUANTITY)))
    functions = frozenset({1, 2, 3, 4, 5, 6, 7, 8, 0x0B, 0x0C, 15, 16, 22, 23})
    return Answerer(registers, functions, 125, 0x02, registers.put)


def our_frame(answerer: Answerer, pdu: bytes) -> bytes:
    """What our device would send."""
    try:
        return closed(bytes((SERVER,)) + answerer.answer(pdu, 0.0))
    except Refused as refused:
        return closed(bytes((SERVER, pdu[0] | 0x80, refused.code)))


REQUESTS: tuple[bytes, ...] = (
    *(
        struct.pack(">BHH", function, start, quantity)
        for function in (1, 2, 3, 4)
        for start, quantity in ((0, 1), (3, 11), (0, QUANTITY), (QUANTITY - 1, 1), (QUANTITY - 1, 2), (QUANTITY, 1))
    ),
    bytes.fromhex("05 00 01 FF 00"),
    bytes.fromhex("01 00 00 00 08"),
    bytes.fromhex("06 00 02 12 34"),
    bytes.fromhex("06 00 30 00 00"),
    bytes.fromhex("10 00 05 00 02 04 AA AA BB BB"),
    bytes.fromhex("03 00 02 00 06"),
    bytes.fromhex("0F 00 08 00 0A 02 CD 01"),
    bytes.fromhex("01 00 00 00 20"),
    bytes.fromhex("16 00 04 00 F2 00 25"),
    bytes.fromhex("17 00 00 00 03 00 01 00 01 02 00 07"),
    bytes.fromhex("03 00 00 00 08"),
)
"""In one session, so that what is written is read back from both."""
