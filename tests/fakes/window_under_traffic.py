"""A window without a screen: pings a device and prints the row of every event that reached it. Run as a script.

Arguments: the data folder, the port. It is made to be killed.
"""

from __future__ import annotations

import sys
import time

from buswalk.bus.bus_link import BusLink
from buswalk.bus.messages import Batch, Kept, OpenPort, RecordTold, StartPing
from buswalk.bus.pace import Pace
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.ping import PingPlan
from buswalk.processes import BusChoice, bus_process

SETTINGS = SerialSettings.of(9600, "8N1")
ADDRESS = 21


def show(batch: Batch) -> None:
    """Print what came; what is printed counts as shown."""
    for item in batch.items:
        match item:
            case RecordTold(state=state):
                print(f"path {state.path}", flush=True)
            case Kept(row=row):
                print(f"row {row}", flush=True)
            case _:
                pass


def main(folder: str, port: str) -> None:
    """Ping until killed."""
    link = BusLink(bus_process(BusChoice(Pace.VIRTUAL, folder)), show, lambda _told: None, time.monotonic)
    print(f"process {link.process_id}", flush=True)
    link.send(OpenPort(port, SETTINGS))
    link.send(StartPing(PingPlan(ADDRESS, SETTINGS, function=4, a_second=10.0)))
    while True:
        time.sleep(60.0)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
