"""Guarded writes through the bus process' engine, in virtual time: the lock, the looks, what may go on meanwhile."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.bus.messages import (
    ClosePort,
    Command,
    Done,
    Hand,
    OpenPort,
    Refused,
    StartReaddress,
    StartSearch,
    StartWatch,
    UseHand,
)
from buswalk.bus.write_messages import (
    EarlierWritesTold,
    LockWriting,
    PutBack,
    PutBackPlace,
    SendFrame,
    UnlockWriting,
    WriteValue,
    WritingTold,
)
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.outcome import NormalReply
from buswalk.domain.readdressing.events import ReaddressEnd, ReaddressEnded, RestartWanted
from buswalk.domain.readdressing.plan import Reach, ReaddressPlan, RegisterValue
from buswalk.domain.registers.writing.earlier_writes import (
    NO_EARLIER_WRITES,
    EarlierWrites,
    RecordedWrites,
    earlier_writes,
)
from buswalk.domain.registers.writing.events import (
    FoundAsBefore,
    LockedBecause,
    OldNotRead,
    OldRead,
    OldValue,
    ReadBack,
    WriteBegun,
    WriteGivenUp,
    WriteJudged,
    WritingLocked,
    WritingUnlocked,
)
from buswalk.domain.registers.writing.visit_writes import visit_writes
from buswalk.domain.search.events import SearchPlan
from buswalk.domain.visit.session_events import JobEnded
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from simulated_line.reference_codec.check_sum import closed
from tests.bus.engine_bench import EngineBench
from tests.fakes.asked_site import EXAMPLE, N81
from tests.fakes.written_line import REASON, WEARING, to_raw, to_setpoint

WRITE_230 = closed(bytes.fromhex("25 06 00 00 00 E6"))
UNLOCK = UnlockWriting(REASON)


def opened(folder: Path, habits: str = "") -> OpenPort:
    """Return the opening of a line with server 37 alone."""
    path = folder / "one.toml"
    path.write_text(f'name = "one"\nstory = "for a test"\n{EXAMPLE}[device.habits]\n{habits}\n')
    return OpenPort(f"sim:{path}", N81)


def sent(bench: EngineBench) -> list[bytes]:
    return [one.exchange.request_adu for one in bench.of(ExchangeDone)]


def refusals(bench: EngineBench) -> list[tuple[int, str]]:
    return [(one.command_id, one.sentence) for one in bench.items_of(Refused)]


def test_a_write_is_kept_from_old_value_to_verdict(tmp_path: Path) -> None:
    bench = EngineBench()

    bench.run_until(WriteJudged, opened(tmp_path), UNLOCK, WriteValue(to_setpoint(230)))

    assert [one.after_s for one in bench.of(ReadBack)] == [0.0, 2.0, 10.0, 60.0]
    assert [one.verdict.value for one in bench.of(WriteJudged)] == ["held"]
    kept = [type(event) for event, _ in bench.records[0].kept]
    assert kept.index(WriteBegun) < kept.index(ReadBack)
    assert bench.of(WritingUnlocked)[0].reason == REASON


@pytest.mark.parametrize(
    "command",
    [
        WriteValue(to_setpoint(230)),
        SendFrame(closed(bytes.fromhex("25 03 00 00 00 01")), N81),
        StartReaddress(ReaddressPlan(Reach(37, N81), Reach(42, N81), (RegisterValue(10, 42),), REASON)),
    ],
    ids=lambda one: type(one).__name__,
)
def test_while_locked_nothing_leaves_on_a_simulated_line_either(tmp_path: Path, command: Command) -> None:
    bench = EngineBench()

    bench.run(opened(tmp_path), command)

    ((number, sentence),) = refusals(bench)
    assert number == 2
    assert "locked" in sentence
    assert sent(bench) == []


@pytest.mark.parametrize("closing", [LockWriting(), ClosePort()], ids=["locked", "port closed"])
def test_locking_and_closing_the_port_lock_it(tmp_path: Path, closing: Command) -> None:
    bench = EngineBench()
    port = opened(tmp_path)
    again = (port,) if isinstance(closing, ClosePort) else ()

    bench.run(port, UNLOCK, closing, *again, WriteValue(to_setpoint(230)))

    assert len(refusals(bench)) == 1
    because = LockedBecause.PORT_CLOSED if again else LockedBecause.USER
    assert [one.because for one in bench.of(WritingLocked)] == [because]
    assert sent(bench) == []


def test_after_five_minutes_of_the_wall_it_is_locked_and_said(tmp_path: Path) -> None:
    bench = EngineBench()

    def pass_time(event: object) -> None:
        if isinstance(event, WritingUnlocked):
            bench.counted_s += 301.0

    bench.on_event = pass_time
    bench.run_until(WritingLocked, opened(tmp_path), UNLOCK)

    assert [one.because for one in bench.of(WritingLocked)] == [LockedBecause.TIME_IS_OVER]
    assert [one.is_open for one in bench.items_of(WritingTold)] == [False]


def test_the_countdown_is_told(tmp_path: Path) -> None:
    bench = EngineBench()

    bench.run(opened(tmp_path), UNLOCK, LockWriting())

    first, last = bench.items_of(WritingTold)
    assert (first.is_open, first.reason, first.left_s) == (True, REASON, 300.0)
    assert not last.is_open


def test_no_reason_unlocks_nothing(tmp_path: Path) -> None:
    bench = EngineBench()

    bench.run(opened(tmp_path), UnlockWriting(" "))

    assert "needs a reason" in refusals(bench)[0][1]
    assert bench.items_of(WritingTold) == []


def test_the_old_value_is_put_back_and_nothing_is_left_changed(tmp_path: Path) -> None:
    bench = EngineBench()

    bench.run(opened(tmp_path), UNLOCK, WriteValue(to_setpoint(230)), PutBack(1, "test is over"))

    assert refusals(bench) == []
    assert closed(bytes.fromhex("25 06 00 00 00 D7")) in sent(bench)
    assert [one.puts_back for one in bench.of(WriteBegun)] == [0, 1]
    assert visit_writes((1, event) for event, _ in bench.records[0].kept).not_put_back() == ()


def test_a_write_that_is_not_there_is_not_put_back(tmp_path: Path) -> None:
    bench = EngineBench()

    bench.run(opened(tmp_path), UNLOCK, PutBack(7, "test is over"))

    assert "none of this session" in refusals(bench)[0][1]


# What earlier sessions changed: server 37 holds 215 in its first register


def left_by(old: OldValue, new: int, *later: object, goes_on: bool = False) -> EarlierWrites:
    """What a session of a record left that wrote `new` over `old`."""
    begun = WriteBegun(4, to_setpoint(new).intended, old, "test", 20.0)
    events = tuple((2, one) for one in (begun, *later))
    return earlier_writes((RecordedWrites("visit.sqlite", ((2, "2026-03-04T08:00:00+01:00"),), events, goes_on),))


def put_back(folder: Path, earlier: EarlierWrites) -> EngineBench:
    bench = EngineBench()
    bench.earlier = earlier
    bench.run(opened(folder), UNLOCK, PutBackPlace(to_setpoint(0).intended.target, "test is over"))
    return bench


def written_frames(bench: EngineBench) -> list[bytes]:
    return [one for one in sent(bench) if one[1] == 0x06]


def test_what_an_earlier_session_wrote_is_told_and_put_back(tmp_path: Path) -> None:
    """It was killed before its first look: what it wrote stands there."""
    earlier = left_by(OldRead((200,), 7), 215)

    bench = put_back(tmp_path, earlier)

    assert [one.earlier for one in bench.items_of(EarlierWritesTold)] == [earlier]
    assert written_frames(bench) == [closed(bytes.fromhex("25 06 00 00 00 C8"))]
    (begun,) = bench.of(WriteBegun)
    assert (begun.puts_back, begun.puts_back_of) == (0, "session 2 of visit.sqlite")


def test_what_somebody_else_changed_since_is_not_put_back(tmp_path: Path) -> None:
    bench = put_back(tmp_path, left_by(OldRead((200,), 7), 230))

    assert written_frames(bench) == []
    assert "somebody else has changed it since" in bench.of(WriteGivenUp)[0].sentence


def test_where_the_old_value_stands_already_that_is_kept_and_nothing_is_sent(tmp_path: Path) -> None:
    earlier = left_by(OldRead((215,), 7), 230)

    bench = put_back(tmp_path, earlier)

    assert written_frames(bench) == []
    (found,) = bench.of(FoundAsBefore)
    assert found.words == (215,)
    assert earlier.writes.after(found, 0).not_put_back() == ()


@pytest.mark.parametrize(
    ("earlier", "words"),
    [(left_by(OldNotRead("no reply"), 215), "never read"), (NO_EARLIER_WRITES, "nothing that was changed there")],
    ids=["old value not read", "nothing changed"],
)
def test_without_an_old_value_that_was_read_nothing_is_put_back(
    tmp_path: Path, earlier: EarlierWrites, words: str
) -> None:
    bench = put_back(tmp_path, earlier)

    assert sent(bench) == []
    assert words in refusals(bench)[0][1]


def test_of_two_sessions_the_first_old_value_is_put_back(tmp_path: Path) -> None:
    """230 before, 200 by one session, then 215 by the present one... the place goes back to 230."""
    bench = EngineBench()
    bench.earlier = left_by(OldRead((230,), 7), 215)

    target = to_setpoint(0).intended.target
    bench.run(opened(tmp_path), UNLOCK, WriteValue(to_setpoint(200)), PutBackPlace(target, "test is over"))

    assert written_frames(bench) == [closed(bytes.fromhex("25 06 00 00 00 C8")), WRITE_230]


@pytest.mark.parametrize(("goes_on", "is_refused"), [(True, True), (False, False)], ids=["this visit", "another visit"])
def test_writes_of_this_visit_count_for_wear_those_of_another_do_not(
    tmp_path: Path, goes_on: bool, is_refused: bool
) -> None:
    order = to_setpoint(1, WEARING)
    begun = WriteBegun(5, order.intended, OldRead((1,), 7), "test", 20.0)
    bench = EngineBench()
    bench.earlier = left_by(OldRead((1,), 7), 1, *(replace(begun, write=one) for one in (5, 6)), goes_on=goes_on)

    bench.run(opened(tmp_path), UNLOCK, WriteValue(order))

    assert any("second confirmation" in sentence for _, sentence in refusals(bench)) is is_refused


def test_each_write_has_a_verdict_though_the_port_is_closed_at_once(tmp_path: Path) -> None:
    bench = EngineBench()

    bench.run(opened(tmp_path), UNLOCK, WriteValue(to_setpoint(230)))

    assert [one.after_s for one in bench.of(ReadBack)] == [0.0]
    assert [one.verdict.value for one in bench.of(WriteJudged)] == ["held"]


def test_a_write_is_slipped_into_a_watch_and_looked_at_while_it_goes_on(tmp_path: Path) -> None:
    """The watch asks once a second all the time; write and looks stand between its requests."""
    bench = EngineBench()
    watched = WatchedDevice(37, N81, ReadHoldingRegisters(1, 1), 0.5)
    asked_of_watch: list[int] = []

    def during(event: object) -> None:
        if isinstance(event, ExchangeDone) and event.exchange.request == watched.request:
            asked_of_watch.append(event.exchange.number)
            if len(asked_of_watch) == 3:
                bench.meanwhile(WriteValue(to_setpoint(230)))
        if isinstance(event, WriteJudged):
            bench.engine.stop()

    bench.on_event = during
    bench.run(opened(tmp_path), UNLOCK, StartWatch(WatchPlan((watched,), 1.0, 1.0, listen_s=0.0)))

    looks = bench.of(ReadBack)
    assert [one.after_s for one in looks] == [0.0, 2.0, 10.0, 60.0]
    begun_s = bench.of(WriteBegun)[0].at_s
    assert [one.at_s - begun_s for one in looks] == pytest.approx([0.1, 2.0, 10.0, 60.0], abs=1.2)
    assert sum(number > looks[0].exchange for number in asked_of_watch) > 40
    assert len(bench.items_of(Done)) == 5
    assert bench.of(JobEnded)[0].end.value == "stopped"


def test_during_a_search_a_write_is_refused(tmp_path: Path) -> None:
    bench = EngineBench()

    def during(event: object) -> None:
        if isinstance(event, ExchangeDone) and event.exchange.number == 43:
            bench.meanwhile(WriteValue(to_setpoint(230)))

    bench.on_event = during
    bench.run(opened(tmp_path), UNLOCK, StartSearch(SearchPlan(tuple(range(1, 30)), {N81: 1.0}, listen_s=0.0)))

    assert any("a job is running (search)" in sentence for _, sentence in refusals(bench))
    assert WRITE_230 not in sent(bench)


def test_a_lock_that_is_open_gives_single_values_only(tmp_path: Path) -> None:
    """The list's own limits hold, open or not; a broadcast and the fourth wearing write ask once more."""
    bench = EngineBench()
    wearing = [WriteValue(to_setpoint(raw, WEARING)) for raw in (1, 2, 3, 4)]

    refused = [WriteValue(to_setpoint(400)), WriteValue(to_raw(0, 1, server_address=0))]

    bench.run(opened(tmp_path), UNLOCK, *refused, *wearing)

    outside, to_all, worn = [sentence for _, sentence in refusals(bench)]
    assert "outside" in outside
    assert "'all devices'" in to_all
    assert "'wears the memory'" in worn
    assert len(bench.of(WriteBegun)) == 3


def test_bytes_of_ones_own_are_sent_as_they_are(tmp_path: Path) -> None:
    """A read with its check sum spoilt on purpose: the device must be silent (Serial Line V1.02, 2.4.1)."""
    bench = EngineBench()
    right = closed(bytes.fromhex("25 03 00 00 00 01"))
    wrong = right[:-1] + bytes([right[-1] ^ 0xFF])

    bench.run(opened(tmp_path), UNLOCK, SendFrame(right, N81), SendFrame(wrong, N81), SendFrame(b"\x25", N81))

    answered, silent = [one.exchange for one in bench.of(ExchangeDone)]
    assert isinstance(answered.outcome, NormalReply)
    assert (silent.request_adu, silent.received) == (wrong, b"")
    assert "4 to 256 bytes" in refusals(bench)[0][1]


def test_an_address_is_set_as_a_job(tmp_path: Path) -> None:
    plan = ReaddressPlan(Reach(37, N81), Reach(42, N81), (RegisterValue(10, 42),), REASON, company=(1, 2))
    bench = EngineBench()

    def cycle(event: object) -> None:
        if isinstance(event, RestartWanted):
            bench.meanwhile(UseHand(Hand.POWER_CYCLE, "example"))

    bench.on_event = cycle
    bench.run(opened(tmp_path, 'write_effect = "after_restart"\naddress_register = 10'), UNLOCK, StartReaddress(plan))

    (ended,) = bench.of(ReaddressEnded)
    assert (ended.end, ended.where) == (ReaddressEnd.MOVED_AFTER_RESTART, (Reach(42, N81),))
