"""What reading ten holding registers costs beside the wire: ours, pymodbus and minimalmodbus, side by side in one run.

A pseudo terminal spends no wire time, and a plain process answers at once. So the time from one exchange's end to the
next one's is the silence between frames and software. `software_s` is that time less the mandatory silence, 3.5
characters, the same for each. A client that keeps no silence gains by that: pymodbus does.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from itertools import pairwise
from pathlib import Path
from statistics import median

import minimalmodbus  # type: ignore[import-untyped]
import serial
from pymodbus.client import ModbusSerialClient

from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LineEvent
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead, ReadHoldingRegisters
from buswalk.domain.modbus.outcome import NormalReply
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.wire.serial_line import open_serial_line
from buswalk.wire.system_clock import SystemClock
from tests.benchmarks.figure import Figure
from tests.fakes.answering_line import with_check_sum

SETTINGS = SerialSettings.of(19_200, "8N2")
"""The standard's default speed and its framing without parity (Serial Line V1.02, 2.5.1), as a terminal has none."""
SILENCE_S = 3.5 * 11 / 19_200
SERVER_ADDRESS = 1
QUANTITY = 10
REPLY = with_check_sum(bytes((SERVER_ADDRESS, 0x03, 2 * QUANTITY)) + bytes(range(2 * QUANTITY)))
REGISTERS = [0x0001, 0x0203, 0x0405, 0x0607, 0x0809, 0x0A0B, 0x0C0D, 0x0E0F, 0x1011, 0x1213]
TIMEOUT_S = 1.0
ROUNDS = 6
EXCHANGES_A_ROUND = 60
FIRST_LEFT_OUT = 5
"""Of each round: what fills caches, and what follows the other clients' turns."""
ANSWERER = Path(__file__).with_name("plain_answerer.py")

Reads = Callable[[], list[int]]


def figures() -> Iterator[Figure]:
    """Yield the medians of the whole exchange and of its software, ours beside each peer's."""
    with ExitStack() as stack:
        names = stack.enter_context(_answered_terminals(3))
        opened = [opens(name, stack) for opens, name in zip((_ours, _pymodbus, _minimalmodbus), names, strict=True)]
        total_s, total_pymodbus_s, total_minimalmodbus_s = _side_by_side(opened)
    software_s = total_s - SILENCE_S
    for peer, peer_total_s in (("pymodbus", total_pymodbus_s), ("minimalmodbus", total_minimalmodbus_s)):
        peer_software_s = peer_total_s - SILENCE_S
        yield Figure("exchange", f"total_s_{peer}", peer_total_s, "s")
        yield Figure("exchange", f"software_s_{peer}", peer_software_s, "s")
    yield Figure("exchange", "total_s", total_s, "s", "pymodbus", total_pymodbus_s)
    yield Figure("exchange", "software_s", software_s, "s", "pymodbus", total_pymodbus_s - SILENCE_S)


def _side_by_side(clients: list[Reads]) -> list[float]:
    """Return the median of each client; they take turns, so that a busy moment of the machine meets all."""
    took_s: list[list[float]] = [[] for _ in clients]
    for _ in range(ROUNDS):
        for reads, kept in zip(clients, took_s, strict=True):
            kept += _round(reads)
    return [median(one) for one in took_s]


def _round(reads: Reads) -> list[float]:
    """Return the times from the end of one exchange to the end of the next, without any pause of ours between."""
    ends_s = [time.perf_counter()]
    for _ in range(EXCHANGES_A_ROUND):
        registers = reads()
        ends_s.append(time.perf_counter())
        if registers != REGISTERS:
            raise RuntimeError(f"a client read {registers}")
    return [after - before for before, after in pairwise(ends_s[FIRST_LEFT_OUT:])]


@contextmanager
def _answered_terminals(count: int) -> Iterator[list[str]]:
    arguments = [sys.executable, str(ANSWERER), str(count), REPLY.hex()]
    with subprocess.Popen(arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as answerer:
        assert answerer.stdout is not None
        yield [answerer.stdout.readline().strip() for _ in range(count)]


def _ours(name: str, stack: ExitStack) -> Reads:
    clock = SystemClock()
    line = open_serial_line(name, SETTINGS, PortOptions(), clock)
    stack.callback(line.close)
    asker = Asker(line, clock, _drop)
    request, timing = ReadHoldingRegisters(0, QUANTITY), AskTiming(TIMEOUT_S)

    def reads() -> list[int]:
        outcome = asker.ask(SERVER_ADDRESS, request, timing).outcome
        assert isinstance(outcome, NormalReply)
        assert isinstance(outcome.reply, HoldingRegistersRead)
        return list(outcome.reply.values)

    return reads


def _pymodbus(name: str, stack: ExitStack) -> Reads:
    client = ModbusSerialClient(
        name, baudrate=SETTINGS.baud_rate, stopbits=SETTINGS.stop_bits, timeout=TIMEOUT_S, retries=0
    )
    if not client.connect():
        raise RuntimeError("pymodbus does not open the terminal")
    stack.callback(client.close)

    def reads() -> list[int]:
        return list(client.read_holding_registers(0, count=QUANTITY, device_id=SERVER_ADDRESS).registers)

    return reads


def _minimalmodbus(name: str, stack: ExitStack) -> Reads:
    port = serial.Serial(name, SETTINGS.baud_rate, stopbits=SETTINGS.stop_bits, timeout=TIMEOUT_S)
    stack.callback(port.close)
    instrument = minimalmodbus.Instrument(port, SERVER_ADDRESS)

    def reads() -> list[int]:
        return list(instrument.read_registers(0, QUANTITY))

    return reads


def _drop(event: LineEvent) -> None:
    """Nobody listens to events here."""
