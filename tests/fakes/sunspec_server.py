"""Serves models 1 and 103, built by pysunspec2, with pymodbus on a serial port; run as a script like its neighbours.

What stands in the registers and how it is answered is other people's code on both sides.
"""

from __future__ import annotations

import asyncio
import struct
import sys
from typing import Any

from pymodbus.framer import FramerType
from pymodbus.server import ModbusSerialServer
from pymodbus.simulator import DataType, SimData, SimDevice
from sunspec2 import device  # type: ignore[import-untyped]

BASE = 40000


def words_of(model: Any) -> list[int]:
    """Return a model's registers."""
    data = model.get_mb()
    return list(struct.unpack(f">{len(data) // 2}H", data))


def registers() -> list[int]:
    """Marker, common model, three-phase inverter, end."""
    common, inverter = device.Model(1), device.Model(103)
    common.points["Mn"].value = "Example Solar"
    common.points["SN"].value = "EX-103-7"
    for name, value in (("A_SF", -2), ("V_SF", -1), ("W_SF", 1), ("Hz_SF", -2), ("WH_SF", 0), ("Tmp_SF", -1)):
        inverter.points[name].value = value
    for name, value in (("A", 1234), ("PhVphA", 2301), ("W", 812), ("Hz", 4998), ("WH", 7_654_321), ("TmpCab", 385)):
        inverter.points[name].value = value
    inverter.points["St"].value = 4
    return [0x5375, 0x6E53, *words_of(common), *words_of(inverter), 0xFFFF, 0]


async def serve(port: str, baud_rate: int, server_address: int) -> None:
    """Serve until killed."""
    held = SimData(BASE, values=registers(), datatype=DataType.REGISTERS)
    server = ModbusSerialServer(
        [SimDevice(server_address, simdata=[held])], framer=FramerType.RTU, port=port, baudrate=baud_rate
    )
    await server.serve_forever(background=True)
    print("ready", flush=True)
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(serve(sys.argv[1], int(sys.argv[2]), int(sys.argv[3])))
