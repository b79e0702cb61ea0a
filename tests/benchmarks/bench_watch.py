"""What a watch costs: exchanges a second over a pseudo terminal with every byte and sample in the record, and memory.

A plain process answers at once, so the rest is the silence of 3.5 characters and software. The peer is a loop of
pymodbus that reads the same ten registers, keeps no record and marks nothing.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path

from pymodbus.client import ModbusSerialClient

from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LineEvent
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.samples import SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.watching.plan import PointsRead, WatchedDevice, WatchPlan
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.watching import Watch
from buswalk.storage.visit_record.recorder import VisitRecorder, open_visit_record
from buswalk.wire.serial_line import open_serial_line
from buswalk.wire.system_clock import SystemClock
from tests.benchmarks.figure import Figure
from tests.fakes.answering_line import with_check_sum
from tests.fakes.every_event import STARTED

SETTINGS = SerialSettings.of(19_200, "8N2")
SERVER_ADDRESS = 1
QUANTITY = 10
REPLY = with_check_sum(bytes((SERVER_ADDRESS, 0x03, 2 * QUANTITY)) + bytes(range(2 * QUANTITY)))
ANSWERER = Path(__file__).with_name("plain_answerer.py")
SECONDS = 5.0
WARM = 8_000
"""Until then caches of SQLite and of the collector fill; measured: nothing grows after 6 000."""
GROWN_OVER = 12_000
SETTLE_EVERY = 500
PAGE_MB = os.sysconf("SC_PAGE_SIZE") / 1e6 if sys.platform != "win32" else 0.0


def figures() -> Iterator[Figure]:
    """Yield the pace beside a plain loop's, and the growth of memory for each million samples."""
    if sys.platform == "win32":
        return
    arguments = [sys.executable, str(ANSWERER), "2", REPLY.hex()]
    with (
        tempfile.TemporaryDirectory() as folder,
        subprocess.Popen(arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as answerer,
    ):
        assert answerer.stdout is not None
        ours, peers = (answerer.stdout.readline().strip() for _ in range(2))
        peer_pace = _library_pace(peers)
        with closing(open_visit_record(Path(folder) / "watch.buswalk.sqlite", is_simulated=False)) as recorder:
            recorder.keep(STARTED, 0.0)
            pace, grown_mb = _own_figures(ours, recorder)
        yield Figure("watch", "exchanges_per_s", pace, "1/s", "pymodbus, no record", peer_pace, more_is_better=True)
        yield Figure("watch", "memory_growth_mb_per_million", grown_mb, "MB")


def _own_figures(port: str, recorder: VisitRecorder) -> tuple[float, float]:
    with ExitStack() as stack:
        clock = SystemClock()
        line = open_serial_line(port, SETTINGS, PortOptions(), clock)
        stack.callback(line.close)
        evidence = Evidence()

        def take(event: LineEvent) -> None:
            recorder.keep(event, clock.now_s())
            evidence(event)

        watch = Watch(Asker(line, clock, take), evidence, _plan())
        taken, began_s, first_mb, pace = 0, time.perf_counter(), 0.0, 0.0
        for event in watch.run():
            recorder.keep(event, clock.now_s())
            if not isinstance(event, SamplesTaken):
                continue
            taken += 1
            if taken % SETTLE_EVERY == 0:
                recorder.settle()
            if taken == WARM:
                first_mb, began_s = _resident_mb(), time.perf_counter()
            if taken == WARM + GROWN_OVER:
                pace = GROWN_OVER / (time.perf_counter() - began_s)
                break
        grown_mb = _resident_mb() - first_mb
    return pace, grown_mb / (GROWN_OVER * QUANTITY / 1e6)


def _plan() -> WatchPlan:
    points = tuple(Point(f"r{at}", Table.HOLDING_REGISTERS, at) for at in range(QUANTITY))
    reading = PointsRead(RegisterProfile("ten", "ten registers", points), tuple(one.name for one in points))
    harmless = ReadHoldingRegisters(0, QUANTITY)
    return WatchPlan((WatchedDevice(SERVER_ADDRESS, SETTINGS, harmless, reading=reading),), listen_s=0.0)


def _library_pace(port: str) -> float:
    client = ModbusSerialClient(port, baudrate=SETTINGS.baud_rate, stopbits=SETTINGS.stop_bits, timeout=1.0, retries=0)
    if not client.connect():
        raise RuntimeError("pymodbus does not open the terminal")
    try:
        count, began_s = 0, time.perf_counter()
        while time.perf_counter() - began_s < SECONDS:
            client.read_holding_registers(0, count=QUANTITY, device_id=SERVER_ADDRESS)
            count += 1
        return count / (time.perf_counter() - began_s)
    finally:
        client.close()  # type: ignore[no-untyped-call]


def _resident_mb() -> float:
    """Return the memory of this process that is in the computer's, as the system tells it."""
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * PAGE_MB
