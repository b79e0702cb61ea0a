"""A watch that reads once: it ends by itself when each point was told, refused, or not answered."""

from __future__ import annotations

from buswalk.bus.messages import OpenPort, StartWatch
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.samples import Quality, SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.visit.session_events import JobEnded, JobEndKind
from buswalk.domain.watching.events import DeviceAbsent
from buswalk.domain.watching.plan import PointsRead, WatchedDevice, WatchEnd, WatchPlan
from tests.bus.engine_bench import EngineBench

PLAIN = SerialSettings.of(9600, "8N1")
OPEN = OpenPort("demo:greenhouse-first-day", PLAIN)


def once(server_address: int, *register_addresses: int) -> StartWatch:
    points = tuple(Point(f"input_{one}", Table.INPUT_REGISTERS, one) for one in register_addresses)
    reading = PointsRead(RegisterProfile("some", "some", points), tuple(one.name for one in points))
    device = WatchedDevice(server_address, PLAIN, ReadInputRegisters(0, 1), reading=reading)
    return StartWatch(WatchPlan((device,), listen_s=0.0, end=WatchEnd.AFTER_ONE_ROUND))


def test_it_ends_when_each_point_was_told_or_refused() -> None:
    """The sensor at 21 has registers 0 and 1, and none at 2000."""
    bench = EngineBench()

    bench.run(OPEN, once(21, 0, 1, 2000))

    told = {sample.point: sample.quality for one in bench.of(SamplesTaken) for sample in one.samples}
    assert told == {"input_0": Quality.GOOD, "input_1": Quality.GOOD, "input_2000": Quality.REFUSED}
    assert [one.end for one in bench.of(JobEnded)] == [JobEndKind.FINISHED]
    assert len(bench.of(SamplesTaken)) == 2


def test_it_does_not_wait_for_who_is_absent() -> None:
    """Six requests would be due; after three without a reply the device is taken for absent."""
    bench = EngineBench()

    bench.run(OPEN, once(99, *range(0, 6000, 1000)))

    assert [one.end for one in bench.of(JobEnded)] == [JobEndKind.FINISHED]
    assert len(bench.of(DeviceAbsent)) == 1
