"""Which ports there are, and which of them an adapter is at now. What pyserial lists is played."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from buswalk.wire.port_list import AdapterIdentity, PortFacts, list_ports, port_of_adapter


@dataclass
class Listed:
    """As pyserial lists a port (serial.tools.list_ports.ListPortInfo): what is not known is None or 'n/a'."""

    device: str
    description: str = "n/a"
    vid: int | None = None
    pid: int | None = None
    serial_number: str | None = None
    location: str | None = None


ADAPTER = AdapterIdentity(0x1234, 0x0042, "A1", "1-1")
SAME_MAKE = AdapterIdentity(0x1234, 0x0042, "B2", "1-2")
NAMELESS = AdapterIdentity(0x4321, 0x0007, "", "2-1")


def at(port: str, identity: AdapterIdentity) -> PortFacts:
    return PortFacts(port, "serial port", identity)


def moved(identity: AdapterIdentity, location: str) -> AdapterIdentity:
    return AdapterIdentity(identity.vendor_id, identity.product_id, identity.serial_number, location)


def test_ports_are_listed_by_name_with_what_is_known_of_their_adapters() -> None:
    listed = [
        Listed("/dev/ttyUSB1", "USB bridge", 0x1234, 0x0042, "A1", "1-1"),
        Listed("/dev/ttyS0"),
    ]

    ports = list_ports(lambda: listed)

    assert ports == (
        PortFacts("/dev/ttyS0", "serial port", AdapterIdentity(0, 0, "", "/dev/ttyS0")),
        PortFacts("/dev/ttyUSB1", "USB bridge", ADAPTER),
    )


def test_this_computers_ports_can_be_listed() -> None:
    ports = list_ports()

    assert [one.port for one in ports] == sorted(one.port for one in ports)


@pytest.mark.parametrize(
    ("ports", "expected"),
    [
        # Another number, the same socket.
        ([at("/dev/ttyUSB0", SAME_MAKE), at("/dev/ttyUSB3", ADAPTER)], "/dev/ttyUSB3"),
        # Another socket: its serial number tells it.
        ([at("/dev/ttyUSB0", SAME_MAKE), at("/dev/ttyUSB1", moved(ADAPTER, "3-4"))], "/dev/ttyUSB1"),
        # Only one of its make is there, in its socket: it is another adapter, on another line.
        ([at("/dev/ttyUSB0", moved(SAME_MAKE, "1-1"))], None),
        # Two of one serial number, as cheap adapters have: the socket decides ...
        ([at("/dev/ttyUSB0", moved(ADAPTER, "1-9")), at("/dev/ttyUSB1", ADAPTER)], "/dev/ttyUSB1"),
        # ... and where it does not, nothing does.
        ([at("/dev/ttyUSB0", moved(ADAPTER, "1-8")), at("/dev/ttyUSB1", moved(ADAPTER, "1-9"))], None),
        ([], None),
    ],
)
def test_an_adapter_is_found_by_its_serial_number_and_socket(ports: list[PortFacts], expected: str | None) -> None:
    assert port_of_adapter(ADAPTER, ports) == expected


@pytest.mark.parametrize(("location", "expected"), [("2-1", "COM9"), ("2-2", None)])
def test_an_adapter_without_serial_number_is_known_by_its_socket_alone(location: str, expected: str | None) -> None:
    assert port_of_adapter(NAMELESS, [at("COM9", moved(NAMELESS, location))]) == expected


def test_a_port_on_no_usb_is_known_by_its_name() -> None:
    first, second = AdapterIdentity(0, 0, "", "/dev/ttyS0"), AdapterIdentity(0, 0, "", "/dev/ttyS1")

    assert port_of_adapter(second, [at("/dev/ttyS0", first), at("/dev/ttyS1", second)]) == "/dev/ttyS1"
