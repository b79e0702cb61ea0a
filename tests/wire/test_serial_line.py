"""SerialLine over a device that is known: what it does to the port, and when it says that things were."""

from __future__ import annotations

import errno

import pytest
import serial

from buswalk.domain.line.arrival import Arrival, ByteMark, CountedMarks, LineMark
from buswalk.domain.line.line_traits import LatencySource, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import Direction
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.serial_device import RefusedSettings, Taken
from buswalk.wire.serial_line import START_UNCERTAINTY_S, SerialLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.known_device import KnownDevice

SETTINGS = SerialSettings.of(9600, "8E1")
OTHERS = SerialSettings.of(19_200, "8N1")
REQUEST = bytes.fromhex("01 03 00 00 00 01 84 0A")


class Bench:
    """A line set to 9600 8E1, its device and clock."""

    def __init__(self, port: str = "/dev/ttyUSB0", direction: Direction = Direction.HARDWARE) -> None:
        self.clock = JumpingClock()
        self.device = KnownDevice(self.clock)
        self.listed: list[str] = []
        self.line = SerialLine(port, self.device, self.clock, direction, lambda: self.listed)
        self.line.apply(SETTINGS)

    @property
    def verbs(self) -> list[str]:
        return [what for _, what in self.device.done]


def test_one_apply_is_one_reconfiguration_and_none_if_nothing_changes() -> None:
    bench = Bench()

    bench.line.apply(OTHERS)
    bench.line.apply(OTHERS)

    assert bench.verbs == ["set 9600 8E1", "set 19200 8N1"]


def test_an_exchange_sets_nothing() -> None:
    """pyserial sets the whole port anew at each change of a property, which may spoil bytes on their way."""
    bench = Bench()
    bench.device.play(0.05, b"\x01\x83\x02\xc0\xf1")

    bench.line.discard()
    bench.line.write(REQUEST)
    bench.line.read(0.5)
    bench.line.read(0.6)

    assert bench.verbs == ["set 9600 8E1", "write 01 03 00 00 00 01 84 0a"]


def test_what_a_change_of_settings_costs_is_measured() -> None:
    bench = Bench()
    bench.device.set_up_takes_s = 0.0042

    bench.line.apply(OTHERS)

    assert bench.line.traits.settings_change_s == pytest.approx(0.0042)


def test_after_refused_settings_the_old_ones_are_set_again_and_not_taken_for_granted() -> None:
    bench = Bench()
    bench.device.failures.append(RefusedSettings("19200 8N1"))
    with pytest.raises(PortError) as caught:
        bench.line.apply(SerialSettings.of(123_456, "8N1"))

    bench.line.apply(SETTINGS)

    assert caught.value.problem is PortProblem.SETTINGS_REFUSED
    assert "123456 8N1" in caught.value.sentence
    assert "it sets 19200 8N1" in caught.value.sentence
    assert bench.verbs[-1] == "set 9600 8E1"


def test_traits_say_how_marks_are_told_and_how_late_bytes_are() -> None:
    bench = Bench()

    traits = bench.line.traits

    assert traits.mark_reporting is MarkReporting.PER_BYTE
    assert (traits.latency_s, traits.latency_source) == (0.016, LatencySource.ASKED)
    assert traits.carries_speed
    assert traits.carries_framing
    assert traits.spends_wire_time
    assert not traits.is_simulated


def test_the_end_of_a_request_is_computed_from_its_bits() -> None:
    """8 characters of 11 bits at 9600 baud last 9.17 ms; an adapter may begin late."""
    bench = Bench()

    sent = bench.line.write(REQUEST)

    assert sent.begin_s == 0.0
    assert sent.end_not_before_s == pytest.approx(0.0091667, abs=1e-6)
    assert sent.end_not_after_s == pytest.approx(0.0091667 + START_UNCERTAINTY_S, abs=1e-6)


def test_an_arrival_lies_between_the_last_empty_look_less_latency_and_the_return() -> None:
    bench = Bench()
    bench.device.play(0.0503, b"\x01\x03")

    arrival = bench.line.read(1.0)

    assert arrival is not None
    assert arrival.data == b"\x01\x03"
    assert arrival.not_after_s == pytest.approx(0.0503)
    assert 0.0503 - 0.016 - 0.0011 <= arrival.not_before_s <= 0.0503 - 0.016


def test_half_an_escape_alone_is_waited_for_and_not_taken_for_a_deadline() -> None:
    bench = Bench()
    bench.device.play_taken(0.01, Taken(b"", ()))
    bench.device.play(0.02, b"\xff")

    arrival = bench.line.read(0.1)

    assert arrival is not None
    assert arrival.data == b"\xff"


def test_marks_come_with_their_bytes_and_counted_ones_without() -> None:
    bench = Bench()
    bench.device.play_taken(0.01, Taken(b"\x25\x03", (ByteMark(1, LineMark.DAMAGED),)))
    bench.device.play_taken(0.02, Taken(b"", (CountedMarks(3, LineMark.OVERRUN),)))

    first, second = bench.line.read(0.1), bench.line.read(0.1)

    assert isinstance(first, Arrival)
    assert first.marks == (ByteMark(1, LineMark.DAMAGED),)
    assert isinstance(second, Arrival)
    assert (second.data, second.marks) == (b"", (CountedMarks(3, LineMark.OVERRUN),))


def test_rts_is_raised_before_the_bytes_and_dropped_only_when_the_last_bit_has_ended() -> None:
    """A system may call the queue empty while the sender still shifts: then the computed end decides."""
    bench = Bench(direction=Direction.RTS)
    bench.device.drain_takes_s = 0.004

    bench.line.write(REQUEST)

    times = {what: time_s for time_s, what in bench.device.done}
    assert bench.verbs[1:] == ["RTS on", "write 01 03 00 00 00 01 84 0a", "drain", "RTS off"]
    assert times["RTS off"] == pytest.approx(0.0091667, abs=1e-6)


def test_rts_is_dropped_later_if_the_system_is_done_later() -> None:
    bench = Bench(direction=Direction.RTS)
    bench.device.drain_takes_s = 0.030

    bench.line.write(REQUEST)

    time_s, what = bench.device.done[-1]
    assert what == "RTS off"
    assert time_s == pytest.approx(0.030)


@pytest.mark.parametrize(
    "reason",
    [
        OSError(errno.EIO, "Input/output error"),
        serial.SerialException("device reports readiness to read but returned no data"),
        OSError("bytes were said to wait, and there are none"),
    ],
)
def test_a_port_lost_while_reading_has_vanished(reason: OSError) -> None:
    """What was raised when an adapter was unplugged under Linux, as measured with pyserial 3.5."""
    bench = Bench()
    bench.device.failures.append(reason)

    with pytest.raises(PortError) as caught:
        bench.line.read(0.1)

    assert caught.value.problem is PortProblem.VANISHED
    assert caught.value.sentence == "/dev/ttyUSB0 is gone: plug the adapter in again"
    assert caught.value.__cause__ is reason


def test_a_port_lost_while_being_set_has_vanished_and_is_not_a_matter_of_settings() -> None:
    bench = Bench()
    bench.device.failures.append(OSError(errno.EIO, "Input/output error"))

    with pytest.raises(PortError) as caught:
        bench.line.apply(OTHERS)

    assert caught.value.problem is PortProblem.VANISHED


@pytest.mark.parametrize(("listed", "problem"), [([], PortProblem.VANISHED), (["COM7"], PortProblem.SETTINGS_REFUSED)])
def test_windows_is_asked_for_its_list_where_settings_fail(listed: list[str], problem: PortProblem) -> None:
    """There a wrong parameter and an adapter that is away raise the same kind of error."""
    bench = Bench(port=r"\\.\COM7")
    bench.listed = listed
    bench.device.failures.append(serial.SerialException("Cannot configure port, something went wrong"))

    with pytest.raises(PortError) as caught:
        bench.line.apply(OTHERS)

    assert caught.value.problem is problem


def test_a_windows_port_that_fails_and_is_no_longer_listed_was_unplugged() -> None:
    bench = Bench(port="COM7")
    bench.device.failures.append(PermissionError(13, "Access is denied"))

    with pytest.raises(PortError) as caught:
        bench.line.read(0.1)

    assert caught.value.sentence == "COM7 is gone: plug the adapter in again"


def test_a_windows_port_that_fails_though_it_is_listed_hangs() -> None:
    bench = Bench(port="COM7")
    bench.listed = ["COM3", "COM7"]
    bench.device.failures.append(PermissionError(13, "Access is denied"))

    with pytest.raises(PortError) as caught:
        bench.line.read(0.1)

    assert caught.value.problem is PortProblem.VANISHED
    assert "still listed" in caught.value.sentence


def test_a_port_that_takes_no_bytes_any_more_is_said_so() -> None:
    bench = Bench()
    bench.device.failures.append(TimeoutError("the port takes no bytes any more"))

    with pytest.raises(PortError) as caught:
        bench.line.write(REQUEST)

    assert "takes no bytes any more" in caught.value.sentence


def test_our_own_mistakes_do_not_pass_for_a_lost_port() -> None:
    bench = Bench()
    bench.device.failures.append(ValueError("ours"))

    with pytest.raises(ValueError, match="ours"):
        bench.line.read(0.1)


def test_somebody_who_never_stops_sending_does_not_hold_a_discard() -> None:
    bench = Bench()
    bench.device.take_takes_s = 0.001
    for step in range(4000):
        bench.device.play(step * 0.0005, b"\x55")

    arrivals = bench.line.discard()

    assert bench.clock.now_s() < 0.2
    assert len(arrivals) > 50
