"""The engine's port with its session: told at the opening, minded between jobs, lost and taken again."""

from __future__ import annotations

import pytest

from buswalk.bus.messages import HandsOffered, OpenPort, SetFactor, StartSearch, StartWatch
from buswalk.bus.pace import Pace
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.outcome import NormalReply
from buswalk.domain.search.events import SearchPlan
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    JobStarted,
    MarkMade,
    MarkSource,
    PlanKept,
    PortClosed,
    PortFailed,
    PortOpened,
    PortReturned,
    SessionStarted,
)
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from tests.bus.engine_bench import EngineBench

PLAIN = SerialSettings.of(9600, "8N1")
OPEN = OpenPort("demo:greenhouse-first-day", PLAIN)
FEW = SearchPlan(addresses=(11, 12, 13), settings={PLAIN: 1.0}, listen_s=0.0)


def test_a_session_tells_what_it_is_before_anything_else() -> None:
    bench = EngineBench()

    bench.run(OPEN)

    kinds = [type(event) for event, _ in bench.records[0].kept]
    assert kinds == [SessionStarted, PortOpened, PlanKept, PortClosed]
    assert bench.records[0].name == "greenhouse-first-day"
    assert bench.records[0].is_closed
    assert bench.of(SessionStarted)[0].is_simulated
    assert [one.server_address for one in bench.of(PlanKept)[0].devices][:3] == [11, 14, 21]
    assert len(bench.items_of(HandsOffered)[0].devices) == 11


def test_a_port_that_fails_to_open_is_in_the_record_too() -> None:
    bench = EngineBench()

    bench.run(OpenPort("/dev/no-such-port", PLAIN))

    (failed,) = bench.of(PortFailed)
    assert "there is no port /dev/no-such-port" in failed.sentence
    assert [type(event) for event, _ in bench.records[0].kept] == [SessionStarted, PortFailed]


def test_a_line_whose_time_walks_is_listened_to_between_jobs() -> None:
    bench = EngineBench(Pace.PACED)

    bench.run_until(StrayArrival, OpenPort("demo:another-client", PLAIN), SetFactor(1000.0))

    assert bench.of(StrayArrival)[0].arrival.data
    assert bench.of(JobStarted) == []


def test_a_port_that_goes_between_jobs_is_noticed_and_taken_again() -> None:
    bench = EngineBench(Pace.PACED)

    bench.run_until(PortReturned, OpenPort("demo:adapter-unplugged", PLAIN), SetFactor(1000.0))

    (failed,) = bench.of(PortFailed)
    (returned,) = bench.of(PortReturned)
    assert "unplugged" in failed.sentence
    assert returned.at_s > failed.at_s
    assert returned.after_s == pytest.approx(returned.at_s - failed.at_s, abs=0.1)


def test_a_jump_of_the_clock_is_marked() -> None:
    bench = EngineBench()
    jumped: list[object] = []

    def jump(event: object) -> None:
        if isinstance(event, JobStarted) and not jumped:
            jumped.append(event)
            bench.counted_s -= 300.0

    bench.on_event = jump
    bench.run(OPEN, StartSearch(FEW))

    (mark,) = bench.of(MarkMade)
    assert (mark.source, mark.words) == (
        MarkSource.CLOCK,
        "the computer slept, or its clock was set forward, by 5:00",
    )


def test_why_another_file_is_used_is_in_the_record_itself() -> None:
    bench = EngineBench()
    bench.notices = ("visit.buswalk.sqlite is being written by another window",)

    bench.run(OPEN)

    (mark,) = bench.of(MarkMade)
    assert (mark.source, mark.words) == (MarkSource.PROGRAM, bench.notices[0])


def test_the_planned_list_of_a_record_that_goes_on_is_told_again() -> None:
    bench = EngineBench()
    bench.planned = (PlannedDevice(1, 37, "heat meter", PLAIN),)

    bench.run(OpenPort("demo:late-reply", PLAIN))

    assert [one.devices for one in bench.of(PlanKept)] == [bench.planned]


def test_a_port_that_goes_in_the_midst_of_a_job_is_waited_for_and_the_job_goes_on() -> None:
    bench = EngineBench()
    seen: list[object] = []

    def stop_after_return(event: object) -> None:
        seen.append(event)
        if isinstance(event, ExchangeDone) and any(isinstance(one, PortReturned) for one in seen):
            bench.engine.stop()

    bench.on_event = stop_after_return
    device = WatchedDevice(37, PLAIN, ReadHoldingRegisters(0, 1))
    bench.run(OpenPort("demo:adapter-unplugged", PLAIN), StartWatch(WatchPlan((device,), period_s=1.0, listen_s=0.0)))

    assert len(bench.of(PortFailed)) == len(bench.of(PortReturned)) == 1
    assert isinstance(bench.of(ExchangeDone)[-1].exchange.outcome, NormalReply)
    assert [one.end for one in bench.of(JobEnded)] == [JobEndKind.STOPPED]
