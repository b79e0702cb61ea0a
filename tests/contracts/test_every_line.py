"""What every `Line` promises, tried on each that there is: replaying fake, simulated, terminal, RFC 2217, socket."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass

import pytest

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.opening import open_wire_line
from buswalk.wire.system_clock import SystemClock
from simulated_line.clocks import VirtualClock
from simulated_line.pair.place import Place
from simulated_line.scenario.model import ScenarioFile
from simulated_line.site import build_site
from simulated_line.timeline import Timeline
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.network_peers import PyserialPeer, RawPeer
from tests.fakes.replaying_line import ReplayingLine
from tests.fakes.talking_station import TalkingStation
from tests.fakes.terminal_pair import TerminalPair

SETTINGS = SerialSettings.of(115_200, "8N1")
OTHER_SETTINGS = SerialSettings.of(57_600, "8E1")
ALL_BYTES = bytes(range(256))
SOON_S = 0.5
LATE_S = 0.02
"""A few milliseconds are promised; the rest is for a busy machine. Never early is what counts."""


@dataclass(frozen=True, slots=True)
class Case:
    """A line, its clock, and what can be done at its far end."""

    line: Line
    clock: Clock
    far_end_sends: Callable[[bytes], None]
    far_end_received: Callable[[int], bytes]

    def read_soon(self) -> Arrival | None:
        return self.line.read(self.clock.now_s() + SOON_S)

    def read_bytes(self, byte_count: int) -> list[Arrival]:
        arrivals: list[Arrival] = []
        while sum(len(one.data) for one in arrivals) < byte_count:
            arrival = self.read_soon()
            assert arrival is not None, f"only {arrivals} came"
            arrivals.append(arrival)
        return arrivals


def _replaying(_: ExitStack) -> Case:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    line.apply(SETTINGS)
    return Case(
        line,
        clock,
        lambda data: line.play(clock.now_s(), data),
        lambda count: b"".join(data for _, data in line.writes)[:count],
    )


def _simulated(_: ExitStack) -> Case:
    timeline = Timeline()
    site = build_site(ScenarioFile.model_validate({"name": "contract", "story": "one station"}), timeline)
    talker = TalkingStation(site.segment, SETTINGS)
    site.segment.attach(talker, Place())
    line = site.open_line("sim", SETTINGS, keep_pace=lambda: None)

    def heard(byte_count: int) -> bytes:
        timeline.run_until(timeline.now_s() + 0.1)
        return talker.data_heard[:byte_count]

    return Case(line, VirtualClock(timeline), talker.say, heard)


def _terminal(stack: ExitStack) -> Case:
    pair = TerminalPair()
    stack.callback(pair.close)
    return _opened(stack, pair.name, pair.send, pair.received)


def _rfc2217(stack: ExitStack) -> Case:
    peer = PyserialPeer()
    stack.callback(peer.close)
    return _opened(stack, peer.name, peer.send, peer.received)


def _socket(stack: ExitStack) -> Case:
    peer = RawPeer()
    stack.callback(peer.close)
    return _opened(stack, peer.name, peer.send, peer.received)


def _opened(stack: ExitStack, name: str, sends: Callable[[bytes], None], received: Callable[[int], bytes]) -> Case:
    clock = SystemClock()
    line = open_wire_line(name, SETTINGS, PortOptions(), clock)
    stack.callback(line.close)
    return Case(line, clock, sends, received)


LINES: dict[str, Callable[[ExitStack], Case]] = {
    "replaying": _replaying,
    "simulated": _simulated,
    "rfc2217": _rfc2217,
    "socket": _socket,
}
if sys.platform != "win32":
    LINES["terminal"] = _terminal


@pytest.fixture(params=sorted(LINES))
def case(request: pytest.FixtureRequest) -> Iterator[Case]:
    with ExitStack() as stack:
        yield LINES[request.param](stack)


def test_a_read_without_bytes_ends_at_its_deadline_and_never_before(case: Case) -> None:
    deadline_s = case.clock.now_s() + 0.03

    arrival = case.line.read(deadline_s)

    assert arrival is None
    assert deadline_s <= case.clock.now_s() <= deadline_s + LATE_S


def test_a_read_whose_deadline_has_passed_still_looks_once(case: Case) -> None:
    case.far_end_sends(b"\x11")
    case.clock.sleep_until(case.clock.now_s() + 0.05)

    arrival = case.line.read(case.clock.now_s() - 1.0)

    assert arrival is not None
    assert arrival.data == b"\x11"


def test_every_byte_value_arrives_once_and_in_order(case: Case) -> None:
    case.far_end_sends(ALL_BYTES)

    arrivals = case.read_bytes(256)

    assert b"".join(one.data for one in arrivals) == ALL_BYTES
    assert case.line.read(case.clock.now_s() + 0.02) is None
    assert all(not one.marks for one in arrivals)


def test_every_byte_value_is_sent_once_and_in_order(case: Case) -> None:
    case.line.write(ALL_BYTES)

    assert case.far_end_received(256) == ALL_BYTES


def test_a_byte_came_after_the_last_empty_look_and_before_the_read_returned(case: Case) -> None:
    assert case.line.read(case.clock.now_s() + 0.005) is None
    sent_s = case.clock.now_s()
    case.far_end_sends(b"\x22")

    arrival = case.read_soon()

    assert arrival is not None
    assert arrival.not_before_s <= arrival.not_after_s <= case.clock.now_s()
    assert arrival.not_after_s >= sent_s
    assert arrival.not_before_s >= sent_s - 0.01 - case.line.traits.latency_s


def test_the_ranges_of_successive_arrivals_are_in_order(case: Case) -> None:
    case.far_end_sends(b"\x01")
    first = case.read_soon()
    case.far_end_sends(b"\x02")

    second = case.read_soon()

    assert first is not None
    assert second is not None
    assert first.not_before_s <= second.not_before_s
    assert first.not_after_s <= second.not_after_s


def test_discard_returns_what_was_waiting_and_does_not_wait_for_more(case: Case) -> None:
    case.far_end_sends(b"\x33\x44")
    case.clock.sleep_until(case.clock.now_s() + 0.05)
    began_s = case.clock.now_s()

    arrivals = case.line.discard()

    assert b"".join(one.data for one in arrivals) == b"\x33\x44"
    assert case.clock.now_s() - began_s <= LATE_S
    assert case.line.discard() == ()


def test_a_write_does_not_wait_for_its_bytes_to_be_sent(case: Case) -> None:
    """256 characters of ten bits take 22 ms at 115 200 baud; where time is jumped, none passes."""
    began_s = case.clock.now_s()

    sent = case.line.write(ALL_BYTES)

    assert case.clock.now_s() - began_s < 0.02
    assert began_s <= sent.begin_s <= sent.end_not_before_s <= sent.end_not_after_s
    if case.line.traits.spends_wire_time:
        assert sent.end_not_before_s >= began_s + 256 * 10 / 115_200
    else:
        assert sent.end_not_after_s <= case.clock.now_s()


def test_to_send_nothing_is_our_own_mistake(case: Case) -> None:
    with pytest.raises(ValueError, match="nothing"):
        case.line.write(b"")


def test_the_settings_last_applied_are_known_and_bytes_pass_after_a_change(case: Case) -> None:
    case.line.apply(OTHER_SETTINGS)
    case.line.apply(SETTINGS)
    case.far_end_sends(b"\x55\xff")

    arrivals = case.read_bytes(2)

    assert case.line.settings == SETTINGS
    assert b"".join(one.data for one in arrivals) == b"\x55\xff"


def test_settings_that_do_not_change_cost_nothing(case: Case) -> None:
    began_s = case.clock.now_s()

    for _ in range(1000):
        case.line.apply(SETTINGS)

    assert case.clock.now_s() - began_s < 0.02


def test_a_line_may_be_closed_twice_and_gives_nothing_afterwards(case: Case) -> None:
    case.line.close()
    case.line.close()

    with pytest.raises(PortError) as caught:
        case.line.read(case.clock.now_s())

    assert caught.value.problem is PortProblem.VANISHED
