"""Nothing that changes a device leaves the Asker but what leave was given for: once, byte for byte, while unlocked.

The list of what only reads is that of Application V1.1b3, chapter 6, written out here on its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.request import Effect, KnownLength, Reply, ReplyLength
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_guard import GuardRefusal
from buswalk.jobs.asking.write_lock import Open, Shut, WriteLock
from simulated_line.reference_codec.check_sum import closed
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import ReplayingLine

READING = {0x01, 0x02, 0x03, 0x04, 0x07, 0x0B, 0x0C, 0x11}
READING_SUB_FUNCTIONS = {0x00, 0x02, 0x0B, 0x0C, 0x0D, 0x0E, 0x0F, 0x10, 0x11, 0x12}
QUICK = AskTiming(0.01)
WRITE = WriteSingleRegister(10, 210)
FRAME = bytes.fromhex("25 06 00 0A 00 D2 2F 71")
PDUS = st.one_of(
    st.binary(min_size=1, max_size=12),
    st.builds(lambda function, rest: bytes([function]) + rest, st.integers(0, 0x30), st.binary(max_size=8)),
)


@dataclass(frozen=True, slots=True)
class AnyBytes:
    """A request of any bytes, claiming to be harmless."""

    data: bytes

    @property
    def function_code(self) -> int:
        return 0x03

    @property
    def effect(self) -> Effect:
        return Effect.READS

    def pdu(self) -> bytes:
        return self.data

    def reply_length(self, so_far: bytes) -> ReplyLength:
        return KnownLength(5)

    def parse_reply(self, pdu: bytes) -> Reply:
        return pdu


class Bench:
    """A silent line, an asker without any leave of its own, and a lock by a wall clock that is moved by hand."""

    def __init__(self) -> None:
        clock = JumpingClock()
        self.line = ReplayingLine(clock)
        self.asker = Asker(self.line, clock, KeptEvents())
        self.wall_s = 0.0
        self.lock = WriteLock(lambda: self.wall_s)

    @property
    def sent(self) -> list[bytes]:
        return [data for _, data in self.line.writes]


def only_reads(frame: bytes) -> bool:
    """By the standard's list; the echo test to 255 reads nothing from anybody."""
    function, address = frame[1], frame[0]
    if frame == closed(bytes.fromhex("FF 03 00 00 00 01")):
        return True
    if not 1 <= address <= 247:
        return False
    if function == 0x08:
        return len(frame) >= 6 and int.from_bytes(frame[2:4], "big") in READING_SUB_FUNCTIONS
    return function in READING or frame[1:3] == b"\x2b\x0e"


@given(address=st.integers(0, 255), pdu=PDUS)
def test_without_leave_only_what_reads_leaves_the_asker(address: int, pdu: bytes) -> None:
    bench = Bench()

    try:
        bench.asker.ask(address, AnyBytes(pdu), QUICK)
    except GuardRefusal:
        assert bench.sent == []

    assert all(only_reads(frame) for frame in bench.sent)


@given(address=st.integers(0, 255), pdu=PDUS, other=PDUS)
def test_leave_for_one_frame_lets_no_other_pass(address: int, pdu: bytes, other: bytes) -> None:
    """Whatever leave is held, what leaves is that frame, or nothing."""
    bench = Bench()
    bench.lock.unlock("test of the guard")
    allowed = closed(bytes([address]) + pdu)

    for leave in (bench.lock.leave_for(allowed), bench.lock.leave_confirmed_twice(allowed, "all devices")):
        for data in (other, pdu, pdu):
            try:
                bench.asker.write(address, AnyBytes(data), QUICK, leave)
            except GuardRefusal:
                continue

    assert set(bench.sent) <= {allowed}
    assert len(bench.sent) <= 2


@given(frame=st.binary(min_size=4, max_size=20), other=st.binary(min_size=4, max_size=20))
def test_bytes_of_ones_own_leave_with_leave_for_them_only(frame: bytes, other: bytes) -> None:
    bench = Bench()
    bench.lock.unlock("test of the guard")
    leave = bench.lock.leave_confirmed_twice(frame, "bytes of my own")

    for data in (other, frame, frame):
        try:
            bench.asker.send_frame(data, QUICK, leave)
        except GuardRefusal:
            continue

    assert bench.sent == [frame]


def test_a_shut_lock_gives_no_leave() -> None:
    with pytest.raises(GuardRefusal, match="locked"):
        Bench().lock.leave_for(FRAME)
    with pytest.raises(GuardRefusal, match="locked"):
        Bench().lock.leave_confirmed_twice(FRAME, "all devices")


@pytest.mark.parametrize("reason", ["", "   ", "x", "..", "- -"])
def test_no_reason_opens_nothing(reason: str) -> None:
    bench = Bench()

    with pytest.raises(GuardRefusal, match="reason"):
        bench.lock.unlock(reason)

    assert isinstance(bench.lock.state, Shut)


def test_it_is_open_for_five_minutes_by_the_wall() -> None:
    bench = Bench()
    bench.lock.unlock("  commissioning of hall 3 ")

    states = []
    for bench.wall_s in (0.0, 299.75, 300.0, 1000.0):
        states.append(bench.lock.state)

    assert states[:2] == [Open("commissioning of hall 3", 300.0), Open("commissioning of hall 3", 0.25)]
    assert states[2:] == [Shut(), Shut()]


def test_a_clock_that_is_set_back_shuts_it() -> None:
    bench = Bench()
    bench.wall_s = 1000.0
    bench.lock.unlock("commissioning")
    bench.wall_s = 0.0

    assert isinstance(bench.lock.state, Shut)


def test_locking_takes_no_leave_back_but_gives_none_any_more() -> None:
    bench = Bench()
    bench.lock.unlock("commissioning")
    leave = bench.lock.leave_for(FRAME)
    bench.lock.lock()

    bench.asker.write(37, WRITE, QUICK, leave)

    assert bench.sent == [FRAME]
    with pytest.raises(GuardRefusal):
        bench.lock.leave_for(FRAME)


def test_a_used_leave_is_used_up() -> None:
    bench = Bench()
    bench.lock.unlock("commissioning")
    leave = bench.lock.leave_for(FRAME)
    bench.asker.write(37, WRITE, QUICK, leave)

    with pytest.raises(GuardRefusal, match="has been sent"):
        bench.asker.write(37, WRITE, QUICK, leave)


@pytest.mark.parametrize("body", ["00 06 00 0A 00 D2", "25 08 00 04 00 00"], ids=["to all", "silences one"])
def test_leave_to_write_is_no_leave_for_all_devices_or_to_silence_one(body: str) -> None:
    bench = Bench()
    bench.lock.unlock("commissioning")
    frame = closed(bytes.fromhex(body))
    to, data = frame[0], AnyBytes(frame[1:-2])

    with pytest.raises(GuardRefusal, match="second confirmation"):
        bench.asker.write(to, data, QUICK, bench.lock.leave_for(frame))
    with pytest.raises(GuardRefusal, match="second confirmation"):
        bench.asker.send_frame(frame, QUICK, bench.lock.leave_for(frame))

    assert bench.sent == []
