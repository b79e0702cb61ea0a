"""The engine of the bus process in virtual time: commands, jobs, port and record, without a second process."""

from __future__ import annotations

from itertools import pairwise

import pytest

from buswalk.bus.messages import (
    ClosePort,
    Command,
    Done,
    Hand,
    KeepPlan,
    Kept,
    ListPorts,
    MakeMark,
    Noticed,
    OpenPort,
    PortsListed,
    RecordTold,
    Refused,
    SaveRecordAs,
    SetFactor,
    StartEchoTest,
    StartListening,
    StartPing,
    StartPresence,
    StartSearch,
    StartWatch,
    UseHand,
)
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.outcome import NoReply, NormalReply
from buswalk.domain.presence.events import CameBack, PresenceRound, WentQuiet
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.search.events import Found, SearchEnded, SearchPlan, Verdict
from buswalk.domain.search.ping import Pinged, PingPlan
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import (
    EchoTested,
    JobEnded,
    JobEndKind,
    JobStarted,
    MarkMade,
    MarkSource,
    PlanKept,
)
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from tests.bus.engine_bench import EngineBench

PLAIN = SerialSettings.of(9600, "8N1")
OPEN = OpenPort("demo:greenhouse-first-day", PLAIN)
FEW = SearchPlan(addresses=(11, 12, 13), settings={PLAIN: 1.0}, listen_s=0.0)


def test_a_search_is_kept_event_by_event_and_shown_in_the_same_order() -> None:
    bench = EngineBench()

    items = bench.run(OPEN, StartSearch(FEW))

    shown = [item for item in items if isinstance(item, Kept)]
    (record,) = bench.records
    assert [item.row for item in shown] == list(range(1, len(shown) + 1))
    assert [item.event for item in shown] == [event for event, _ in record.kept]
    assert [one.server_address for one in bench.of(Found)] == [11]
    assert len(bench.of(SearchEnded)) == 1


def test_exchange_numbers_go_on_through_jobs_and_from_the_record() -> None:
    bench = EngineBench()

    bench.run(OPEN, StartSearch(FEW), StartSearch(FEW))

    numbers = [one.exchange.number for one in bench.of(ExchangeDone)]
    assert numbers == list(range(41, 41 + len(numbers)))


def test_a_search_that_goes_on_asks_nothing_twice() -> None:
    bench = EngineBench()

    bench.run(OPEN, StartSearch(FEW), StartSearch(FEW, goes_on=True))

    first, second = bench.of(JobStarted)
    again = bench.of(SearchEnded)
    assert (first.number, second.number) == (1, 2)
    assert again[0].asked == again[1].asked
    assert len(bench.of(Found)) == 1


def test_every_command_is_ended_once_by_its_number() -> None:
    bench = EngineBench()

    bench.run(ListPorts(), OPEN, MakeMark("fan off"), StartSearch(FEW), ClosePort())

    assert [one.command_id for one in bench.items_of(Done)] == [1, 2, 3, 4, 5, 6]
    assert bench.items_of(Refused) == []
    assert bench.items_of(PortsListed)[0].ports[0].port == "COM7"


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (StartSearch(FEW), "no port is open"),
        (MakeMark("x"), "no port is open"),
        (OpenPort("demo:no-such-site", PLAIN), "no-such-site"),
        (OpenPort("/dev/no-such-port", PLAIN), "there is no port"),
        (UseHand(Hand.UNPLUG, "nobody"), "no port is open"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_sentence(command: Command, words: str) -> None:
    bench = EngineBench()

    bench.run(command)

    (refused,) = bench.items_of(Refused)
    assert refused.command_id == 1
    assert words in refused.sentence
    assert "\n" not in refused.sentence


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (UseHand(Hand.UNPLUG, "nobody"), "no device 'nobody'"),
        (SetFactor(10.0), "jumps"),
        (SaveRecordAs(""), "needs a name"),
    ],
)
def test_what_this_line_cannot_do_is_refused(command: Command, words: str) -> None:
    bench = EngineBench()

    bench.run(OPEN, command)

    assert [words in one.sentence for one in bench.items_of(Refused)] == [True]


def test_a_record_saved_under_a_name_is_told_at_once() -> None:
    """The head line must not go on calling it the one that the next start replaces."""
    without, named = EngineBench(), EngineBench()
    without.run(OPEN)

    named.run(OPEN, SaveRecordAs("practice-1"))

    assert len(named.items_of(RecordTold)) == len(without.items_of(RecordTold)) + 1


def test_hands_are_marked_and_have_their_effect() -> None:
    bench = EngineBench()
    at_21 = SearchPlan(addresses=(21,), settings={PLAIN: 1.0}, listen_s=0.0)

    bench.run(OPEN, UseHand(Hand.UNPLUG, "air, bay 1 north"), StartSearch(at_21))

    (mark,) = bench.of(MarkMade)
    assert (mark.source, mark.words) == (MarkSource.HAND, "air, bay 1 north is unplugged from the pair")
    assert bench.of(Found) == []


def test_who_is_quiet_is_told_when_hands_open_the_cable_and_is_recorded() -> None:
    """Two of three hang behind the place; they are told as quiet, and as back."""
    bench = EngineBench()
    read = ReadInputRegisters(0, 1)
    plan = PresencePlan(tuple(WatchedDevice(one, PLAIN, read, 0.3) for one in (11, 21, 22)))

    def act(event: object) -> None:
        match event:
            case PresenceRound(number=2):
                bench.meanwhile(UseHand(Hand.OPEN_CABLE, "controller of bay 1"))
            case PresenceRound(number=6):
                bench.meanwhile(UseHand(Hand.JOIN_CABLE, "controller of bay 1"))
            case PresenceRound(number=9):
                bench.engine.stop()
            case _:
                pass

    bench.on_event = act
    bench.run(OPEN, StartPresence(plan))

    assert sorted(one.server_address for one in bench.of(WentQuiet)) == [21, 22]
    assert sorted(one.server_address for one in bench.of(CameBack)) == [21, 22]
    kept = [type(event) for event, _ in bench.records[0].kept]
    assert kept.count(WentQuiet) == kept.count(CameBack) == 2
    assert bench.of(JobEnded)[0].name == "who is quiet"


def test_a_ping_asks_at_an_even_pace_until_it_is_stopped() -> None:
    bench = EngineBench()

    def stop_at_six(event: object) -> None:
        if isinstance(event, Pinged) and event.asked == 6:
            bench.engine.stop()

    bench.on_event = stop_at_six
    bench.run(OPEN, StartPing(PingPlan(21, PLAIN, function=4, a_second=5.0)))

    pinged = bench.of(Pinged)
    exchanges = [one.exchange for one in bench.of(ExchangeDone)]
    begun = [one.sent.begin_s for one in exchanges if isinstance(one.sent, Sent)]
    assert [one.asked for one in pinged] == [1, 2, 3, 4, 5, 6]
    assert all(isinstance(one.outcome, NormalReply) for one in pinged)
    assert pinged[-1].answered == 6
    assert [round(later - earlier, 2) for earlier, later in pairwise(begun)] == [0.2] * 5
    assert bench.of(JobEnded)[0].end is JobEndKind.STOPPED


def test_a_watch_asks_in_turn_until_it_is_stopped_and_tells_its_exchanges_only() -> None:
    """Nothing is kept beside the exchanges, and what it heard in listening first."""
    bench = EngineBench()

    def stop_at_nine(event: object) -> None:
        if isinstance(event, ExchangeDone) and event.exchange.number == 41 + 8:
            bench.engine.stop()

    bench.on_event = stop_at_nine
    devices = tuple(WatchedDevice(address, PLAIN, ReadInputRegisters(0, 1)) for address in (21, 22, 23))
    bench.run(OPEN, StartWatch(WatchPlan(devices, period_s=1.0, listen_s=2.0)))

    assert [one.exchange.server_address for one in bench.of(ExchangeDone)] == [21, 22, 23] * 3
    assert [one.verdict for one in bench.of(ListeningEnded)] == [Verdict.SILENT]
    assert (bench.of(JobStarted)[0].name, bench.of(JobEnded)[0].end) == ("watch", JobEndKind.STOPPED)


def test_the_echo_test_sends_one_read_to_the_reserved_address_and_says_what_came() -> None:
    """Serial Line V1.02, 2.2: 248 to 255 are reserved."""
    bench = EngineBench()

    bench.run(OpenPort("demo:greenhouse", PLAIN), StartEchoTest())

    (exchange,) = [one.exchange for one in bench.of(ExchangeDone)]
    (tested,) = bench.of(EchoTested)
    assert exchange.request_adu.hex(" ") == "ff 03 00 00 00 01 91 d4"
    assert isinstance(exchange.outcome, NoReply)
    assert (tested.is_heard, tested.sentence) == (False, "address 255 stayed silent")


def test_listening_sends_not_one_byte() -> None:
    bench = EngineBench()

    bench.run(OPEN, StartListening(10.0, PLAIN))

    (ended,) = bench.of(ListeningEnded)
    assert ended.seconds == pytest.approx(10.0, abs=0.1)
    assert bench.of(ExchangeDone) == []


def test_a_record_that_fails_is_said_and_work_goes_on_without_pretending() -> None:
    bench = EngineBench(fails_from=8)

    bench.run(OPEN, StartSearch(FEW))

    rows = [item.row for item in bench.items_of(Kept)]
    told = [one.state.problem for one in bench.items_of(RecordTold)]
    assert rows[:7] == [1, 2, 3, 4, 5, 6, 7]
    assert set(rows[7:]) == {0}
    assert told[-1] == "the disk is full: make room, then open the port again"
    assert [one.server_address for one in bench.of(Found)] == [11]


def test_the_planned_list_is_kept() -> None:
    bench = EngineBench()
    devices = (PlannedDevice(1, 37, "heat meter", PLAIN),)

    bench.run(OPEN, KeepPlan(devices))

    assert bench.of(PlanKept)[-1].devices == devices


def test_the_computer_is_kept_awake_while_a_job_runs() -> None:
    bench = EngineBench()

    bench.run(OPEN, StartSearch(FEW), MakeMark("x"))

    assert bench.awake == 1


def test_a_session_that_did_not_end_in_order_is_said_first() -> None:
    bench = EngineBench()
    bench.looked_back = ("the session that began on 2026-03-02 did not end in order",)

    items = bench.run(OPEN)

    assert items[0] == Noticed("the session that began on 2026-03-02 did not end in order")
