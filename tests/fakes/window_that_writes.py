"""A window without a screen: writes one value and prints what was read back. Run as a script.

Arguments: the data folder, the port, the server address, the register, the value. It is made to be killed.
"""

from __future__ import annotations

import sys
import time

from buswalk.bus.bus_link import BusLink
from buswalk.bus.messages import Batch, Kept, OpenPort, Refused
from buswalk.bus.pace import Pace
from buswalk.bus.write_messages import UnlockWriting, WriteValue
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.writing.events import ReadBack
from buswalk.domain.registers.writing.intended import IntendedWrite, RawPlace
from buswalk.domain.registers.writing.order import WriteOrder
from buswalk.processes import BusChoice, bus_process

SETTINGS = SerialSettings.of(9600, "8N1")
REASON = "balancing"


def show(batch: Batch) -> None:
    """Print what came of it."""
    for item in batch.items:
        match item:
            case Kept(event=ReadBack(words=words)):
                print(f"read {words[0]}", flush=True)
            case Refused(sentence=sentence):
                print(f"refused {sentence}", flush=True)
            case _:
                pass


def main(folder: str, port: str, server_address: int, register: int, value: int) -> None:
    """Write, and look until killed."""
    link = BusLink(bus_process(BusChoice(Pace.PACED, folder)), show, lambda _told: None, time.monotonic)
    intended = IntendedWrite(server_address, SETTINGS, RawPlace(Table.HOLDING_REGISTERS, register), (value,))
    link.send(OpenPort(port, SETTINGS))
    link.send(UnlockWriting(REASON))
    link.send(WriteValue(WriteOrder(intended, REASON)))
    while True:
        time.sleep(60.0)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], *map(int, sys.argv[3:6]))
