"""Serves one device with libmodbus on a serial port; run as a script with port, baud and address, prints `ready`.

Knows nothing of buswalk: what it answers is what libmodbus' own code answers.
"""

from __future__ import annotations

import ctypes
import sys

REGISTERS = 40
LONGEST_FRAME = 260


def load_libmodbus() -> ctypes.CDLL | None:
    """Return the shared library, or None where it is not installed."""
    try:
        return ctypes.CDLL("libmodbus.so.5", use_errno=True)
    except OSError:
        return None


def main(port: str, baud_rate: int, server_address: int) -> None:
    """Serve until killed."""
    library = load_libmodbus()
    if library is None:
        raise SystemExit("libmodbus is not installed")
    library.modbus_new_rtu.restype = ctypes.c_void_p
    library.modbus_mapping_new.restype = ctypes.c_void_p
    context = ctypes.c_void_p(library.modbus_new_rtu(port.encode(), baud_rate, ctypes.c_char(b"N"), 8, 1))
    library.modbus_set_slave(context, server_address)
    if library.modbus_connect(context) != 0:
        raise SystemExit(f"libmodbus cannot open {port}")
    mapping = ctypes.c_void_p(library.modbus_mapping_new(REGISTERS, REGISTERS, REGISTERS, REGISTERS))
    print("ready", flush=True)
    query = (ctypes.c_uint8 * LONGEST_FRAME)()
    while True:
        length = library.modbus_receive(context, query)
        if length > 0:
            library.modbus_reply(context, query, length, mapping)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
