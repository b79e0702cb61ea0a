"""In which order a port is opened and its expert settings are made; what a port that is no pseudo terminal is asked."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import Any

import pytest

from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, LatencySource, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.serial_device import OneChangeSerial
from buswalk.wire.serial_line import SerialLine, open_serial_line
from buswalk.wire.system_clock import SystemClock
from tests.fakes.known_serial import KnownSerial
from tests.fakes.terminal_pair import TerminalPair

if sys.platform != "linux":
    pytest.skip("stands on a Linux pseudo terminal", allow_module_level=True)

PORT = "/dev/ttyNOT-THERE"
"""No pseudo terminal by its name, so that it is treated as a real port."""
SETTINGS = SerialSettings.of(19_200, "8N2")
"""A terminal keeps stop bits, and clears parity."""


class Bench:
    """A pseudo terminal that passes for a real port."""

    def __init__(self) -> None:
        self.pair = TerminalPair()
        self.done: list[str] = []

    def opens(self, **settings: Any) -> OneChangeSerial:
        return KnownSerial(self.pair.near, self.done, **settings)

    def line(self, options: PortOptions | None = None, settings: SerialSettings = SETTINGS) -> SerialLine:
        return open_serial_line(PORT, settings, options or PortOptions(), SystemClock(), self.opens)


@pytest.fixture
def bench() -> Iterator[Bench]:
    bench = Bench()
    yield bench
    bench.pair.close()


def test_a_port_is_opened_exclusively_and_then_left_alone_by_pyserial(bench: Bench) -> None:
    """Speed and framing are set in one call of our own, with the marks."""
    bench.line().close()

    assert bench.done == [f"open {PORT}, exclusive True, dtr True, rts True", "close"]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (PortOptions(dtr=False), "dtr False, rts True"),
        (PortOptions(rts=False), "dtr True, rts False"),
        # Raised, it would hold the pair until the first request has been sent.
        (PortOptions(direction=Direction.RTS), "dtr True, rts False"),
        (PortOptions(direction=Direction.RTS, rts=True), "dtr True, rts False"),
    ],
)
def test_both_wires_are_chosen_before_opening(bench: Bench, options: PortOptions, words: str) -> None:
    """They must not first go the other way: some adapters take their supply from them."""
    bench.line(options).close()

    assert bench.done[0].endswith(words)


def test_rts_switches_the_pair_around_each_request(bench: Bench) -> None:
    line = bench.line(PortOptions(direction=Direction.RTS), SerialSettings.of(115_200, "8N1"))
    before = len(bench.done)

    line.write(b"\x01\x03")

    assert bench.done[before:] == ["rts True", "rts False"]
    line.close()


def test_the_kernel_is_asked_once_to_switch_the_pair(bench: Bench) -> None:
    bench.line(PortOptions(direction=Direction.KERNEL)).close()

    assert bench.done[1:] == ["set 9600 8N1, direction by the kernel", "close"]


def test_a_port_whose_expert_settings_are_refused_is_given_back(bench: Bench) -> None:
    with pytest.raises(PortError) as caught:
        bench.line(PortOptions(low_latency=True))

    assert caught.value.problem is PortProblem.SETTINGS_REFUSED
    assert bench.done[-1] == "close"


def test_a_port_that_sets_other_framing_is_refused_and_given_back(bench: Bench) -> None:
    """As a driver does that knows no parity: it is asked what it has set."""
    with pytest.raises(PortError) as caught:
        bench.line(settings=SerialSettings.of(19_200, "8E1"))

    assert caught.value.problem is PortProblem.SETTINGS_REFUSED
    assert "it sets 19200 8N1" in caught.value.sentence
    assert bench.done[-1] == "close"


def test_marks_are_set_and_undone_after_each_change_of_settings(bench: Bench) -> None:
    """With marks a terminal hands FF over twice; a byte more than sent would tell that they were forgotten."""
    clock = SystemClock()
    line = open_serial_line(PORT, SETTINGS, PortOptions(), clock, bench.opens)

    for settings in (SerialSettings.of(9600, "8N1"), SETTINGS):
        line.apply(settings)
        bench.pair.send(b"\x01\xff\x00\xff")
        arrival = line.read(clock.now_s() + 1.0)
        assert arrival is not None
        assert arrival.data == b"\x01\xff\x00\xff"

    assert line.traits.mark_reporting is MarkReporting.PER_BYTE
    line.close()


def test_a_port_of_unknown_latency_says_that_it_is_assumed(bench: Bench) -> None:
    line = bench.line()

    traits = line.traits

    assert (traits.latency_s, traits.latency_source) == (ASSUMED_LATENCY_S, LatencySource.ASSUMED)
    assert traits.spends_wire_time
    assert traits.carries_framing
    line.close()


def test_four_properties_are_one_reconfiguration(bench: Bench) -> None:
    """Where our own call is not known pyserial sets the port, at each property anew if it is not held back."""
    port = bench.opens(baudrate=9600)
    port.port = PORT
    port.open()

    port.set_once(SerialSettings.of(57_600, "7E2"))

    assert bench.done[1:] == ["set 57600 7E2"]
    port.close()
