"""A port opened again where its adapter is by then, and never where another adapter took its name."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.port_list import AdapterIdentity, PortFacts
from buswalk.wire.remembered_port import RememberedPort, adapter_at
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine

SETTINGS = SerialSettings.of(9600, "8E1")
OURS = AdapterIdentity(0x1234, 0x0042, "A1", "1-1")
OTHER = AdapterIdentity(0x1234, 0x0042, "B2", "1-2")


class Computer:
    """Its adapters by port name, and what was opened."""

    def __init__(self, **adapters: AdapterIdentity) -> None:
        self.adapters = adapters
        self.opened: list[str] = []
        self.lists = 0

    def list_ports(self) -> tuple[PortFacts, ...]:
        self.lists += 1
        return tuple(PortFacts(port, "serial port", identity) for port, identity in self.adapters.items())

    def open(self, port: str, settings: SerialSettings, options: PortOptions, clock: Clock) -> Line:
        self.opened.append(port)
        line = ReplayingLine(JumpingClock())
        line.apply(settings)
        return line

    def port(self, name: str) -> RememberedPort:
        return RememberedPort(name, PortOptions(), JumpingClock(), self.list_ports, self.open)


def test_an_adapter_that_came_back_under_another_number_is_opened_there() -> None:
    computer = Computer(COM7=OURS)
    port = computer.port("COM7")
    port.open(SETTINGS)
    computer.adapters = {"COM7": OTHER, "COM8": OURS}

    port.open(SETTINGS)

    assert computer.opened == ["COM7", "COM8"]


def test_another_adapter_under_the_old_name_is_not_opened() -> None:
    """It may hang on another line, where our requests would meet other devices."""
    computer = Computer(COM7=OURS)
    port = computer.port("COM7")
    port.open(SETTINGS)
    computer.adapters = {"COM7": OTHER}

    with pytest.raises(PortError) as caught:
        port.open(SETTINGS)

    assert caught.value.problem is PortProblem.MISSING
    assert caught.value.sentence == "the adapter that was COM7 is not plugged in: plug it in again"
    assert computer.opened == ["COM7"]


def test_a_port_of_no_known_adapter_is_opened_by_its_name_again() -> None:
    computer = Computer()
    port = computer.port("/dev/pts/3")

    port.open(SETTINGS)
    port.open(SETTINGS)

    assert computer.opened == ["/dev/pts/3", "/dev/pts/3"]


def test_network_ports_are_opened_without_asking_for_adapters() -> None:
    computer = Computer(COM7=OURS)

    computer.port("rfc2217://10.0.0.9:4001").open(SETTINGS)

    assert computer.lists == 0


def test_an_adapter_is_known_by_a_link_to_its_port_too(tmp_path: Path) -> None:
    """Systems keep links by adapter beside the numbered names."""
    link = tmp_path / "by-adapter"
    link.symlink_to("/dev/ttyUSB5")

    found = adapter_at(str(link), [PortFacts("/dev/ttyUSB5", "serial port", OURS)])

    assert found == OURS


@pytest.mark.parametrize("name", ["com7", r"\\.\COM7"])
def test_a_windows_port_is_known_however_it_is_written(name: str) -> None:
    assert adapter_at(name, [PortFacts("COM7", "serial port", OURS)]) == OURS


def test_a_port_on_no_usb_has_no_adapter_to_follow() -> None:
    built_in = AdapterIdentity(0, 0, "", "/dev/ttyS0")

    assert adapter_at("/dev/ttyS0", [PortFacts("/dev/ttyS0", "serial port", built_in)]) is None
