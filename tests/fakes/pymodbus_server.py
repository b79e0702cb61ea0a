"""Serves one device with pymodbus on a serial port; run as a script with port, baud and address, prints `ready`.

pymodbus 3 answers with exception 04 at every address it does not serve, which no device on a wire does.
"""

from __future__ import annotations

import asyncio
import sys

from pymodbus.framer import FramerType
from pymodbus.server import ModbusSerialServer
from pymodbus.simulator import DataType, SimData, SimDevice

REGISTERS = 40


async def serve(port: str, baud_rate: int, server_address: int) -> None:
    """Serve until killed."""
    registers = SimData(0, count=REGISTERS, values=7, datatype=DataType.REGISTERS)
    device = SimDevice(server_address, simdata=[registers])
    server = ModbusSerialServer([device], framer=FramerType.RTU, port=port, baudrate=baud_rate)
    await server.serve_forever(background=True)
    print("ready", flush=True)
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(serve(sys.argv[1], int(sys.argv[2]), int(sys.argv[3])))
