"""Serves four filled tables with pymodbus on a serial port; run as a script with port and address, prints `ready`."""

from __future__ import annotations

import asyncio
import logging
import sys

from pymodbus.framer import FramerType
from pymodbus.server import ModbusSerialServer
from pymodbus.simulator import DataType, SimData, SimDevice

QUANTITY = 48


async def serve(port: str, server_address: int) -> None:
    """Serve until killed."""
    every = range(QUANTITY)
    coils = SimData(0, values=[at % 3 == 0 for at in every], datatype=DataType.BITS)
    inputs = SimData(0, values=[at % 5 == 0 for at in every], datatype=DataType.BITS)
    holding = SimData(0, values=[1000 + at for at in every], datatype=DataType.REGISTERS)
    measured = SimData(0, values=[2000 + at for at in every], datatype=DataType.REGISTERS)
    device = SimDevice(server_address, simdata=([coils], [inputs], [holding], [measured]))
    server = ModbusSerialServer([device], framer=FramerType.RTU, port=port, baudrate=115_200)
    await server.serve_forever(background=True)
    print("ready", flush=True)
    await asyncio.Event().wait()


if __name__ == "__main__":
    logging.disable(logging.CRITICAL)
    asyncio.run(serve(sys.argv[1], int(sys.argv[2])))
