"""An engine that watches points: what it keeps, in which order."""

from __future__ import annotations

from decimal import Decimal

from buswalk.bus.messages import OpenPort, StartWatch
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import INT16
from buswalk.domain.watching.plan import PointsRead, WatchedDevice, WatchPlan
from tests.bus.engine_bench import EngineBench

PLAIN = SerialSettings.of(9600, "8N1")
OPEN = OpenPort("demo:greenhouse", PLAIN)


def test_points_are_watched_and_each_sample_is_in_the_record_before_it_is_shown() -> None:
    """The exchange that told them stands before them, in record and stream alike."""
    bench = EngineBench()
    point = Point("temperature", Table.INPUT_REGISTERS, 0, INT16, scale=Decimal("0.1"), unit="°C")
    reading = PointsRead(RegisterProfile("one", "one point", (point,)), ("temperature",))
    device = WatchedDevice(21, PLAIN, ReadInputRegisters(0, 1), reading=reading)

    def stop_at_five(event: object) -> None:
        if isinstance(event, SamplesTaken) and event.exchange == 41 + 4:
            bench.engine.stop()

    bench.on_event = stop_at_five
    bench.run(OPEN, StartWatch(WatchPlan((device,), period_s=1.0, listen_s=0.0)))

    (described,) = bench.of(PointsWatched)
    assert (described.server_address, described.profile, described.points) == (21, "one", (point,))
    samples = bench.of(SamplesTaken)
    assert (
        [one.exchange for one in samples] == [one.exchange.number for one in bench.of(ExchangeDone)] == [*range(41, 46)]
    )
    kept = [event for event, _ in bench.records[0].kept if isinstance(event, ExchangeDone | SamplesTaken)]
    assert [type(one) for one in kept] == [ExchangeDone, SamplesTaken] * 5
    assert all(10.0 < one.samples[0].number < 40.0 for one in samples)
