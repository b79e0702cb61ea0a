"""Line errors that a system only counts: Linux' counters and Windows' flags."""

from __future__ import annotations

import struct
from collections import deque

from buswalk.domain.line.arrival import CountedMarks, LineMark
from buswalk.domain.line.line_traits import MarkReporting
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.comm_flags import FlagKeeper
from buswalk.wire.line_counters import LineCounters
from buswalk.wire.serial_device import Taken
from buswalk.wire.windows_device import WindowsDevice
from tests.fakes.known_device import REAL_PORT

EVERY_MARK = frozenset(LineMark)


def counters(*, frame: int = 0, overrun: int = 0, parity: int = 0, brk: int = 0) -> bytes:
    """Return a driver's answer: struct serial_icounter_struct of linux/serial.h (cts, dsr, rng, dcd, rx, tx, frame,
    overrun, parity, brk, buf_overrun, nine reserved)."""
    return struct.pack("=20i", 1, 2, 3, 4, 500, 600, frame, overrun, parity, brk, 7, *[0] * 9)


class Driver:
    """Answers one after the other."""

    def __init__(self, *answers: bytes) -> None:
        self._answers = deque(answers)

    def ask(self) -> bytes:
        if not self._answers:
            raise OSError(25, "Inappropriate ioctl for device")
        return self._answers.popleft()


def test_what_was_counted_before_the_port_was_opened_is_not_ours() -> None:
    kept = LineCounters(Driver(counters(frame=40, parity=9), counters(frame=40, parity=9)).ask)
    assert kept.start()

    assert kept.news(EVERY_MARK) == ()


def test_only_what_was_counted_since_the_last_time_is_told() -> None:
    driver = Driver(counters(), counters(frame=2, brk=1), counters(frame=2, parity=3, brk=1, overrun=1))
    kept = LineCounters(driver.ask)
    kept.start()

    first, second = kept.news(EVERY_MARK), kept.news(EVERY_MARK)

    assert set(first) == {CountedMarks(2, LineMark.FRAMING_ERROR), CountedMarks(1, LineMark.BREAK)}
    assert set(second) == {CountedMarks(3, LineMark.PARITY_ERROR), CountedMarks(1, LineMark.OVERRUN)}


def test_a_counter_may_pass_the_end_of_its_thirty_two_bits() -> None:
    kept = LineCounters(Driver(counters(frame=2**31 - 1), counters(frame=-(2**31) + 1)).ask)
    kept.start()

    assert kept.news(EVERY_MARK) == (CountedMarks(2, LineMark.FRAMING_ERROR),)


def test_marks_that_the_bytes_bear_themselves_are_not_counted_again() -> None:
    kept = LineCounters(Driver(counters(), counters(frame=5, overrun=1)).ask)
    kept.start()

    assert kept.news(frozenset({LineMark.OVERRUN})) == (CountedMarks(1, LineMark.OVERRUN),)


def test_a_driver_that_does_not_count_says_so_once_and_is_left_alone() -> None:
    kept = LineCounters(Driver().ask)

    assert not kept.start()
    assert kept.news(EVERY_MARK) == ()


class WindowsPort:
    """What pyserial's port and the system's flags would be there."""

    def __init__(self, *looks: tuple[int, int], data: bytes = b"") -> None:
        self.looks = deque(looks)
        self.data = data
        self.done: list[str] = []
        self.rts = False

    def clear(self) -> tuple[int, int]:
        return self.looks.popleft() if self.looks else (0, len(self.data))

    def read(self, size: int = 1) -> bytes:
        taken, self.data = self.data[:size], self.data[size:]
        return taken

    def write(self, data: bytes, /) -> int:
        self.done.append(f"write {data.hex()}")
        return len(data)

    def flush(self) -> None:
        self.done.append("flush")

    def set_once(self, settings: SerialSettings) -> None:
        self.done.append(f"set {settings}")

    def close(self) -> None:
        self.done.append("close")


CE_OVERRUN, CE_RXPARITY, CE_FRAME, CE_BREAK = 0x02, 0x04, 0x08, 0x10
"""As in the system's winbase.h; from memory and pyserial's own table of them."""


def test_flags_seen_while_looking_for_bytes_are_kept_until_taken() -> None:
    """ClearCommError hands each flag over once: a look that drops it loses the evidence."""
    keeper = FlagKeeper(WindowsPort((CE_FRAME, 0), (CE_FRAME | CE_RXPARITY, 1), (0, 3)).clear)

    counts = [keeper.waiting() for _ in range(3)]

    assert counts == [0, 1, 3]
    assert set(keeper.take()) == {CountedMarks(2, LineMark.FRAMING_ERROR), CountedMarks(1, LineMark.PARITY_ERROR)}
    assert keeper.take() == ()


def test_break_and_overrun_are_told_too() -> None:
    keeper = FlagKeeper(WindowsPort((CE_BREAK | CE_OVERRUN, 1)).clear)
    keeper.waiting()

    assert set(keeper.take()) == {CountedMarks(1, LineMark.BREAK), CountedMarks(1, LineMark.OVERRUN)}


def test_the_windows_device_gives_bytes_with_the_flags_of_all_looks() -> None:
    port = WindowsPort((CE_FRAME, 0), (0, 2), (CE_BREAK, 2), data=b"\xc1\x02")
    device = WindowsDevice(port, REAL_PORT, port.clear)

    found, taken = device.wait(0.05), device.take()

    assert found
    assert taken.data == b"\xc1\x02"
    assert set(taken.marks) == {CountedMarks(1, LineMark.FRAMING_ERROR), CountedMarks(1, LineMark.BREAK)}


def test_the_windows_device_looks_once_even_if_there_is_no_time_left() -> None:
    port = WindowsPort(data=b"\x01")

    assert WindowsDevice(port, REAL_PORT, port.clear).wait(0.0)


def test_the_windows_device_says_that_it_only_counts() -> None:
    port = WindowsPort()

    reporting = WindowsDevice(port, REAL_PORT, port.clear).set_up(SerialSettings.of(19_200, "8E1"))

    assert reporting is MarkReporting.COUNTED
    assert port.done == ["set 19200 8E1"]


def test_flags_of_other_settings_are_dropped_when_the_windows_device_is_set() -> None:
    port = WindowsPort((CE_FRAME, 1), (CE_FRAME, 1), (0, 1), data=b"\x5a")
    device = WindowsDevice(port, REAL_PORT, port.clear)
    device.wait(0.0)

    device.set_up(SerialSettings.of(19_200, "8E1"))

    assert device.take() == Taken(b"\x5a", ())


def test_a_wait_of_the_windows_device_ends_without_bytes() -> None:
    port = WindowsPort()

    found = WindowsDevice(port, REAL_PORT, port.clear).wait(0.002)

    assert not found
