"""`read` and `watch` with shipped profiles on servers that other people wrote, and pymodbus on our simulated device.

What a value must be is computed with struct, or is what the other library wrote or read itself.
"""

from __future__ import annotations

import csv
import io
import struct
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from pymodbus.client import ModbusSerialClient
from pymodbus.client.mixin import ModbusClientMixin

from tests.fakes.commands import buswalk
from tests.fakes.served_line import END_WITHIN_S, ServedLine

if sys.platform == "win32":
    pytest.skip("there are no pseudo terminals here", allow_module_level=True)

from tests.fakes.libmodbus_server import load_libmodbus
from tests.fakes.terminal_bridge import TerminalBridge

FAKES = Path(__file__).resolve().parents[1] / "fakes"
ADDRESS = 17
FLOAT = ModbusClientMixin.DATATYPE.FLOAT32


@contextmanager
def served_by(script: str, *arguments: str) -> Iterator[str]:
    """Start a server script on one end of a bridge; hand over the port at the other end."""
    bridge = TerminalBridge()
    server = subprocess.Popen(
        [sys.executable, str(FAKES / script), bridge.server_name, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    try:
        assert server.stdout is not None
        assert server.stdout.readline().strip() == b"ready"
        yield bridge.client_name
    finally:
        server.kill()
        server.wait(END_WITHIN_S)
        if server.stdout is not None:
            server.stdout.close()
        bridge.close()


@contextmanager
def pymodbus_on(port: str) -> Iterator[ModbusSerialClient]:
    client = ModbusSerialClient(port, baudrate=9600, timeout=1.0)
    assert client.connect()
    try:
        yield client
    finally:
        client.close()  # type: ignore[no-untyped-call]


def values_of(events: list[dict[str, Any]]) -> dict[str, tuple[str, str]]:
    return {one["point"]: (one["value"], one["quality"]) for one in events if one["event"] == "point_read"}


@pytest.mark.skipif(load_libmodbus() is None, reason="libmodbus is not installed (Debian: apt-get install libmodbus5)")
def test_a_libmodbus_server_is_read_with_a_shipped_profile() -> None:
    """pymodbus writes the words before, so that three independent codecs meet: -15 of 0.1 K is -1.5 K."""
    with served_by("libmodbus_server.py", "9600", str(ADDRESS)) as port:
        with pymodbus_on(port) as other:
            written = other.write_registers(0, [-15 & 0xFFFF, 25, 1], device_id=ADDRESS)
            assert not written.isError()
        ended = buswalk("read", "--port", port, "--address", str(ADDRESS), "--profile", "air-transmitter", "--json")

    assert ended.status == 0, ended.err
    assert values_of(ended.events) == {
        "air_temperature": ("0.0", "good"),
        "relative_humidity": ("0.0", "good"),
        "carbon_dioxide": ("0", "good"),
        "temperature_correction": ("-1.5", "good"),
        "humidity_correction": ("2.5", "good"),
        "lamp": ("1 = on", "good"),
    }


def test_a_pymodbus_server_is_read_with_a_shipped_profile_and_what_cannot_be_is_said() -> None:
    """Its input registers hold 2000, 2001 and so on: 200.0 °C is outside of the list; the float is struct's."""
    (carbon_dioxide,) = struct.unpack(">f", struct.pack(">HH", 2003, 2002))
    with served_by("pymodbus_tables.py", str(ADDRESS)) as port:
        line = ("--port", port, "--baud", "115200", "--address", str(ADDRESS))
        ended = buswalk("read", *line, "--profile", "air-transmitter", "--json")
        bits = buswalk("read", *line, "--table", "coils", "--from", "0", "--quantity", "7", "--json")

    values = values_of(ended.events)
    assert values["air_temperature"] == ("200.0", "out_of_range")
    assert values["relative_humidity"] == ("200.1", "out_of_range")
    assert values["temperature_correction"] == ("100.0", "out_of_range")
    (read,) = [one for one in ended.events if one.get("point") == "carbon_dioxide"]
    assert read["number"] == pytest.approx(carbon_dioxide, rel=1e-6)
    assert read["raw"] == "07D2 07D3"
    told = [one["value"] for one in bits.events if one["event"] == "point_read"]
    assert told == ["on" if at % 3 == 0 else "off" for at in range(7)]


def test_a_pymodbus_server_is_watched_for_some_cycles() -> None:
    with served_by("pymodbus_tables.py", str(ADDRESS)) as port:
        line = ("--port", port, "--baud", "115200", "--address", str(ADDRESS), "--alone")
        ended = buswalk("watch", *line, "--from", "0", "--quantity", "40", "--cycles", "25", "--period", "0.2", "--csv")

    rows = list(csv.DictReader(io.StringIO(ended.out)))
    assert ended.status == 0, ended.err
    assert len(rows) == 25 * 40
    assert all(int(float(one["value"])) == 1000 + int(one["register_address"]) for one in rows)
    assert {one["quality"] for one in rows} == {"good"}


def test_pymodbus_reads_the_same_values_from_our_simulated_device_as_we_do(tmp_path: Path) -> None:
    """Of the controller of the demo: words that do not move, as integer, as float and as text."""
    scenario = tmp_path / "one.toml"
    scenario.write_text(
        'name = "one"\nstory = "for a test"\n[[device]]\nname = "io"\ntype = "controller_p"\naddress = 11\n'
        'settings = "9600 8N1"\nplace = 1\n[device.habits]\nautomatic_speed = false\n'
    )
    served = ServedLine(str(scenario), "--pty")
    try:
        with pymodbus_on(served.name) as other:
            outputs = other.read_holding_registers(0, count=2, device_id=11).registers
            numbers = other.read_holding_registers(901, count=2, device_id=11).registers
            text = other.read_holding_registers(903, count=4, device_id=11).registers
            relays = other.read_coils(0, count=6, device_id=11).bits[:6]
        ended = buswalk("read", "--port", served.name, "--address", "11", "--profile", "io-controller-p", "--json")
    finally:
        served.close()

    read = {one["point"]: one for one in ended.events if one["event"] == "point_read"}
    by_place = {(one["table"], one["register_address"]): one for one in read.values()}
    float_there = ModbusClientMixin.convert_from_registers(numbers, FLOAT)
    text_there = ModbusClientMixin.convert_from_registers(text, ModbusClientMixin.DATATYPE.STRING)
    assert ended.status == 0, ended.err
    assert [int(by_place["holding_registers", at]["raw"], 16) for at in (0, 1)] == outputs
    assert by_place["holding_registers", 901]["number"] == pytest.approx(float_there, rel=1e-6)
    assert by_place["holding_registers", 903]["value"] == f"'{text_there}'"
    assert [by_place["coils", at]["value"] == "on" for at in range(6)] == relays
