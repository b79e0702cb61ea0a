"""A network port against pyserial's own RFC 2217 server, and against peers that are none."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest

from buswalk.domain.line.arrival import CountedMarks, LineMark
from buswalk.domain.line.line_traits import MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.rfc2217_line import Rfc2217Line, open_rfc2217_line
from buswalk.wire.system_clock import SystemClock
from tests.fakes.network_peers import BusyPeer, KnownPort, LoopPeer, PyserialPeer, RawPeer, RefusingPeer, wait_for

SETTINGS = SerialSettings.of(19_200, "8E1")
SOON_S = 1.0
FRAMING_ERROR_AND_BREAK = bytes.fromhex("FF FA 2C 6A 18 FF F0")


class Session:
    """An open line, its clock, and the server at the far end."""

    def __init__(self, stack: ExitStack, peer: PyserialPeer, options: PortOptions | None = None) -> None:
        self.peer = peer
        stack.callback(peer.close)
        self.clock = SystemClock()
        self.line: Rfc2217Line = open_rfc2217_line(peer.name, SETTINGS, options or PortOptions(), self.clock)
        stack.callback(self.line.close)

    def changes_since(self, start: int) -> list[tuple[str, object]]:
        return self.peer.port.changes[start:]

    def read_bytes(self, byte_count: int) -> bytes:
        data = b""
        while len(data) < byte_count:
            arrival = self.line.read(self.clock.now_s() + SOON_S)
            assert arrival is not None, f"only {data.hex(' ')} came"
            data += arrival.data
        return data


@pytest.fixture
def stack() -> Iterator[ExitStack]:
    with ExitStack() as stack:
        yield stack


def refusal(port: str) -> PortError:
    with pytest.raises(PortError) as caught:
        open_rfc2217_line(port, SETTINGS, PortOptions(), SystemClock())
    return caught.value


def test_opening_sets_speed_framing_and_both_wires_at_the_server(stack: ExitStack) -> None:
    session = Session(stack, PyserialPeer(), PortOptions(dtr=True, rts=False))

    port = session.peer.port

    assert (port.baudrate, port.bytesize, port.parity, port.stopbits) == (19_200, 8, "E", 1)
    assert ("dtr", True) in port.changes
    assert ("rts", False) in port.changes
    assert {("purge", "input"), ("purge", "output")} <= set(port.changes)


@pytest.mark.parametrize("framing", ["8N1", "8E1", "8O1", "8N2", "7E1", "7O2"])
def test_each_framing_is_seen_exactly_by_the_server(stack: ExitStack, framing: str) -> None:
    session = Session(stack, PyserialPeer())

    session.line.apply(SerialSettings.of(115_200, framing))

    port = session.peer.port
    assert f"{port.bytesize}{port.parity}{port.stopbits:.0f}" == framing
    assert port.baudrate == 115_200


def test_a_speed_whose_bytes_look_like_an_escape_arrives(stack: ExitStack) -> None:
    """65 535 baud is 00 00 FF FF: nobody uses it, but a value must not break the stream."""
    session = Session(stack, PyserialPeer())

    session.line.apply(SerialSettings.of(65_535, "8N1"))

    assert session.peer.port.baudrate == 65_535


def test_settings_that_do_not_change_are_not_sent(stack: ExitStack) -> None:
    session = Session(stack, PyserialPeer())
    before = len(session.peer.port.changes)

    session.line.apply(SETTINGS)
    session.line.write(b"\x01")
    session.peer.received(1)

    assert session.changes_since(before) == []


def test_confirmations_are_waited_for_and_not_a_fixed_time(stack: ExitStack) -> None:
    """pyserial's client sleeps 100 ms for each property; here the server's answers end the wait."""
    session = Session(stack, PyserialPeer())
    began_s = session.clock.now_s()

    for baud_rate in (9600, 19_200, 38_400, 57_600, 115_200):
        session.line.apply(SerialSettings.of(baud_rate, "8N2"))

    assert session.clock.now_s() - began_s < 0.5
    assert session.line.traits.settings_change_s < 0.1


def test_a_speed_that_the_server_rounds_is_refused_with_what_it_set(stack: ExitStack) -> None:
    peer = PyserialPeer(KnownPort(rounds_baud_to=9600))
    stack.callback(peer.close)

    error = refusal(peer.name)

    assert error.problem is PortProblem.SETTINGS_REFUSED
    assert "19200 8E1 (speed 9600 is set)" in error.sentence


def test_every_byte_value_comes_back_from_a_looped_port(stack: ExitStack) -> None:
    """A serial port of pyserial's own with its two wires joined."""
    session = Session(stack, LoopPeer())

    session.line.write(bytes(range(256)))

    assert session.read_bytes(256) == bytes(range(256))


def test_line_states_that_the_server_tells_are_counted_marks(stack: ExitStack) -> None:
    session = Session(stack, PyserialPeer())
    session.peer.send_as_it_is(FRAMING_ERROR_AND_BREAK)

    arrival = session.line.read(session.clock.now_s() + SOON_S)

    assert arrival is not None
    assert set(arrival.marks) == {CountedMarks(1, LineMark.FRAMING_ERROR), CountedMarks(1, LineMark.BREAK)}
    assert arrival.data == b""
    assert session.line.traits.mark_reporting is MarkReporting.COUNTED


def test_marks_come_with_the_bytes_behind_them(stack: ExitStack) -> None:
    session = Session(stack, PyserialPeer())
    session.peer.send_as_it_is(FRAMING_ERROR_AND_BREAK + b"\x25\x03")

    arrival = session.line.read(session.clock.now_s() + SOON_S)

    assert arrival is not None
    assert arrival.data == b"\x25\x03"
    assert len(arrival.marks) == 2


def test_a_line_says_that_it_carries_everything_but_its_times_are_assumed(stack: ExitStack) -> None:
    traits = Session(stack, PyserialPeer()).line.traits

    assert traits.carries_speed
    assert traits.carries_framing
    assert traits.spends_wire_time
    assert not traits.is_simulated


def test_a_raw_port_is_told_by_its_refusal_and_the_sentence_says_what_to_open(stack: ExitStack) -> None:
    peer = RefusingPeer()
    stack.callback(peer.close)

    error = refusal(peer.name)

    assert error.problem is PortProblem.NOT_A_PORT
    assert f"open {peer.name.replace('rfc2217', 'socket')}" in error.sentence


def test_a_server_that_hangs_up_at_once_is_busy(stack: ExitStack) -> None:
    peer = BusyPeer()
    stack.callback(peer.close)

    error = refusal(peer.name)

    assert error.problem is PortProblem.BUSY


def test_a_server_that_goes_away_has_vanished_for_every_verb(stack: ExitStack) -> None:
    session = Session(stack, PyserialPeer())
    session.peer.vanish()
    verbs: tuple[Callable[[], object], ...] = (
        lambda: session.line.read(session.clock.now_s() + SOON_S),
        session.line.discard,
        lambda: session.line.apply(SerialSettings.of(1200, "8N1")),
    )
    problems = []

    for verb in verbs:
        with pytest.raises(PortError) as caught:
            verb()
        problems.append(caught.value.problem)

    assert problems == [PortProblem.VANISHED] * 3


def test_closing_ends_the_call(stack: ExitStack) -> None:
    session = Session(stack, PyserialPeer())

    session.line.close()

    assert wait_for(lambda: session.peer.is_over)


def test_a_peer_that_says_nothing_is_given_up_after_some_seconds(stack: ExitStack) -> None:
    """The one test that must wait: nobody tells a client that no answer comes."""
    peer = RawPeer()
    stack.callback(peer.close)

    error = refusal(peer.name.replace("socket", "rfc2217"))

    assert error.problem is PortProblem.NOT_A_PORT
