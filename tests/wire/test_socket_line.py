"""A raw network port: addresses, calls that nobody takes, and the other side hanging up."""

from __future__ import annotations

import socket
from collections.abc import Iterator

import pytest

from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, LatencySource, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.opening import open_wire_line
from buswalk.wire.socket_line import SocketLine, address_of
from buswalk.wire.system_clock import SystemClock
from tests.fakes.network_peers import RawPeer

SETTINGS = SerialSettings.of(19_200, "8E1")


@pytest.fixture
def peer() -> Iterator[RawPeer]:
    peer = RawPeer()
    yield peer
    peer.close()


@pytest.fixture
def line(peer: RawPeer) -> Iterator[SocketLine]:
    line = opened(peer.name)
    yield line
    line.close()


def opened(port: str) -> SocketLine:
    line = open_wire_line(port, SETTINGS, PortOptions(), SystemClock())
    assert isinstance(line, SocketLine)
    return line


def free_port_number() -> int:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


@pytest.mark.parametrize(
    ("port", "expected"),
    [
        ("socket://192.168.0.10:4001", ("192.168.0.10", 4001)),
        ("socket://gateway.local:4001/", ("gateway.local", 4001)),
        ("socket://[fe80::1]:502", ("fe80::1", 502)),
    ],
)
def test_an_address_is_host_and_port_number(port: str, expected: tuple[str, int]) -> None:
    assert address_of(port, "socket") == expected


@pytest.mark.parametrize(
    "port",
    [
        "socket://",
        "socket://host",
        "socket://host:",
        "socket://host:0",
        "socket://host:70000",
        "socket://host:4001x",
        "socket://:4001",
        "socket://host:4001/path",
        "socket://host:4001?logging=debug",
        "socket://user@host:4001",
        "socket://[fe80::1:4001",
    ],
)
def test_what_is_no_address_is_said_with_an_example(port: str) -> None:
    with pytest.raises(PortError) as caught:
        opened(port)

    assert caught.value.problem is PortProblem.NOT_A_PORT
    assert "write socket://host:port, such as socket://192.168.0.10:4001" in caught.value.sentence


def test_a_computer_where_nothing_takes_calls_is_told_from_one_that_is_not_there() -> None:
    number = free_port_number()

    with pytest.raises(PortError) as caught:
        opened(f"socket://127.0.0.1:{number}")

    assert caught.value.problem is PortProblem.UNREACHABLE
    assert f"127.0.0.1 is there but nothing takes calls at its port {number}" in caught.value.sentence


def test_a_name_that_cannot_be_one_is_no_computer() -> None:
    """A label of more than 63 letters is refused before anybody is asked (RFC 1035, 2.3.4)."""
    with pytest.raises(PortError) as caught:
        opened(f"socket://{'x' * 64}.test:4001")

    assert caught.value.problem is PortProblem.UNREACHABLE
    assert "no computer is known by the name" in caught.value.sentence


def test_a_socket_says_that_it_carries_bytes_and_nothing_else(line: SocketLine) -> None:
    traits = line.traits

    assert not traits.carries_speed
    assert not traits.carries_framing
    assert not traits.spends_wire_time
    assert traits.mark_reporting is MarkReporting.NOT_AVAILABLE
    assert (traits.latency_s, traits.latency_source) == (ASSUMED_LATENCY_S, LatencySource.ASSUMED)


def test_telnets_escape_is_an_ordinary_byte_here(peer: RawPeer, line: SocketLine) -> None:
    line.write(bytes.fromhex("01 FF FD 2C"))
    peer.send(bytes.fromhex("FF FA FF F0"))

    arrival = line.read(SystemClock().now_s() + 1.0)

    assert peer.received(4) == bytes.fromhex("01 FF FD 2C")
    assert arrival is not None
    assert arrival.data == bytes.fromhex("FF FA FF F0")


def test_bytes_that_came_before_the_other_side_hung_up_are_given_first(peer: RawPeer, line: SocketLine) -> None:
    peer.send(b"\x01\x02")
    peer.vanish()

    arrival = line.read(1.0)
    with pytest.raises(PortError) as caught:
        line.read(1.0)

    assert arrival is not None
    assert arrival.data == b"\x01\x02"
    assert caught.value.problem is PortProblem.VANISHED
    assert caught.value.sentence == f"{peer.name} has hung up: check the other side"
