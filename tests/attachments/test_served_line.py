"""The simulated line in a process of its own, read by clients that other people wrote: pymodbus and minimalmodbus."""

from __future__ import annotations

import contextlib
import sys
import termios
from collections.abc import Iterator

import minimalmodbus  # type: ignore[import-untyped]
import pytest
import serial
from pymodbus.client import ModbusSerialClient

from tests.fakes.served_line import ServedLine

pytestmark = [
    pytest.mark.filterwarnings("ignore:setDaemon:DeprecationWarning"),
    pytest.mark.filterwarnings("ignore:setName:DeprecationWarning"),
]
"""pyserial 3.5 starts its RFC 2217 reader in a way that Python calls old."""
OPENINGS = 5
"""So often is it tried to open one with parity, at most."""
needs_pseudo_terminals = pytest.mark.skipif(sys.platform == "win32", reason="this system has no pseudo terminals")


@pytest.fixture(scope="module")
def pty() -> Iterator[ServedLine]:
    served = ServedLine("greenhouse", "--pty")
    yield served
    served.close()


@pytest.fixture(scope="module")
def network() -> Iterator[ServedLine]:
    served = ServedLine("greenhouse", "--rfc2217")
    yield served
    served.close()


def opened(name: str, parity: str) -> serial.Serial:
    """Open a pseudo terminal: the C library tells EINVAL for parity, which it drops, where nothing else changes.

    So another speed is set first, and the wished one is the change. The line may flip a flag in between: so more
    than one try is made, each with a change of its own.
    """
    for _ in range(OPENINGS):
        with contextlib.suppress(termios.error):
            serial.Serial(name, 19200).close()
            return serial.Serial(name, 9600, parity=parity, timeout=1.0)
    raise AssertionError(f"{name} does not open with parity {parity}")


def near_room_temperature(value: int) -> bool:
    """The greenhouse lives: its air drifts by some degrees, not by fifty."""
    return 50 < value < 450


@needs_pseudo_terminals
def test_the_ready_line_says_what_a_pseudo_terminal_does_not_carry(pty: ServedLine) -> None:
    assert "carries speed but no framing" in pty.ready


@needs_pseudo_terminals
@pytest.mark.parametrize(("address", "baud_rate"), [(21, 9600), (51, 9600), (31, 19200), (45, 4800)])
def test_pymodbus_reads_devices_of_any_framing_through_a_pty(pty: ServedLine, address: int, baud_rate: int) -> None:
    """51 and 31 run with even parity; a pty shows none. With parity pymodbus cannot open one: it sets it twice."""
    client = ModbusSerialClient(pty.name, baudrate=baud_rate, timeout=1.0)
    assert client.connect()

    reply = client.read_holding_registers(0, count=1, device_id=address)
    client.close()  # type: ignore[no-untyped-call]

    assert reply.function_code in (0x03, 0x83)
    assert reply.dev_id == address


@needs_pseudo_terminals
@pytest.mark.parametrize("parity", [serial.PARITY_NONE, serial.PARITY_EVEN])
def test_minimalmodbus_reads_through_a_pty(pty: ServedLine, parity: str) -> None:
    with opened(pty.name, parity) as port:
        temperature = minimalmodbus.Instrument(port, 21).read_register(0, functioncode=4)

    assert near_room_temperature(temperature)


@needs_pseudo_terminals
def test_at_another_speed_a_device_does_not_answer_through_a_pty(pty: ServedLine) -> None:
    with serial.Serial(pty.name, 19200, timeout=0.3) as port, pytest.raises(minimalmodbus.NoResponseError):
        minimalmodbus.Instrument(port, 21).read_register(0, functioncode=4)


@pytest.mark.parametrize(("address", "baud_rate", "parity"), [(21, 9600, "N"), (31, 19200, "E"), (51, 9600, "E")])
def test_minimalmodbus_reads_over_rfc_2217(network: ServedLine, address: int, baud_rate: int, parity: str) -> None:
    with serial.serial_for_url(network.name, baudrate=baud_rate, parity=parity, timeout=1.0) as port:
        value = minimalmodbus.Instrument(port, address).read_register(0, functioncode=4 if address == 21 else 3)

    assert 0 <= value <= 0xFFFF


def test_over_rfc_2217_another_framing_is_not_answered(network: ServedLine) -> None:
    """Exact settings: 51 checks even parity, and none is sent."""
    with (
        serial.serial_for_url(network.name, baudrate=9600, parity="N", timeout=0.3) as port,
        pytest.raises(minimalmodbus.NoResponseError),
    ):
        minimalmodbus.Instrument(port, 51).read_register(0)
