"""A device moved from the page Registers through the bus process' engine, in virtual time.

Truth is what the simulated device listens to afterwards, asked with a request of the simulated line's own codec.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from buswalk.bus.messages import (
    Command,
    Hand,
    LookForMoved,
    OpenPort,
    Refused,
    StartReaddress,
    StartSearch,
    StreamItem,
    UseHand,
)
from buswalk.bus.write_messages import SendFrame, UnlockWriting, WritingTold
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.outcome import CorruptReply, NoReply, NormalReply
from buswalk.domain.readdressing.events import (
    ReaddressEnd,
    ReaddressEnded,
    RestartSeen,
    RestartWanted,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import ReaddressPlan
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.search.events import Found, SearchPlan
from buswalk.domain.search.prior import asked_as
from buswalk.profile_parts import read_profiles
from buswalk.ui.pages.registers.move_state import MoveTyped
from simulated_line.reference_codec.check_sum import closed
from tests.bus.engine_bench import EngineBench
from tests.ui.pages.registers.registers_bench import Page

SLOW = SerialSettings.of(4800, "8N1")
WHY = "soil probe to its planned address"
PROBE = (
    '\n[[device]]\nname = "{}"\ntype = "soil_probe"\naddress = {}\nsettings = "4800 8N1"\nplace = {}\n'
    "[device.habits]\n{}\n"
)
SPEEDS = (1200, 2400, 4800, 9600, 19_200, 38_400, 57_600, 76_800, 115_200)


def line_of(folder: Path, *probes: tuple[str, int, str]) -> OpenPort:
    """Return the opening of a line with soil probes of these names, addresses and habits."""
    path = folder / "probes.toml"
    text = 'name = "probes"\nstory = "for a test"\n'
    text += "".join(PROBE.format(name, address, i, more) for i, (name, address, more) in enumerate(probes, start=1))
    path.write_text(text)
    return OpenPort(f"sim:{path}", SLOW)


DEMO = OpenPort("demo:greenhouse-first-day", SLOW)
SEARCH = StartSearch(SearchPlan(addresses=(1, 45), settings={asked_as(SLOW): 1.0}, listen_s=0.0))


def ran(*commands: Command, during: Callable[[EngineBench, object], None] | None = None) -> EngineBench:
    bench = EngineBench()
    if during is not None:
        bench.on_event = lambda event: during(bench, event)
    bench.run(*commands)
    return bench


def page_of(items: list[StreamItem], library: ProfileLibrary, at_s: float = 1000.0) -> Page:
    """Return the page after these items, the probe shown by its shipped list."""
    page = Page()
    page.parts.library = library
    page.presenter.read_library()
    names = [one.name for one in library.profiles]
    page.take(items, at_s)
    page.presenter.show_move(1)
    shown = page.presenter.state.profiles.words
    title = library.profiles[names.index("soil-probe")].title
    page.presenter.choose_profile(next(i for i, words in enumerate(shown) if words.startswith(title)))
    return page


@pytest.fixture(scope="module")
def library() -> ProfileLibrary:
    return read_profiles("")


def plan_by_page(port: OpenPort, library: ProfileLibrary, address: str = "45") -> ReaddressPlan:
    """Type the new address on the page, as it stands after a search; its list says what is written."""
    page = page_of(ran(port, SEARCH).items, library)
    page.take([WritingTold(is_open=True, reason=WHY, left_s=300.0)])
    page.presenter.change_move(MoveTyped(address, SPEEDS.index(4800), 0, "", address, may_have_company=False))
    page.presenter.move()
    (command,) = page.commands.of(StartReaddress)
    return command.plan


def ended(bench: EngineBench) -> ReaddressEnded:
    return bench.of(ReaddressEnded)[-1]


def ask(server_address: int) -> SendFrame:
    """One read of register 100, with the other codec's check sum."""
    return SendFrame(closed(bytes([server_address, 3, 0, 100, 0, 1])), SLOW)


def last_words(bench: EngineBench) -> list[int | None]:
    """Return what the last two reads brought; None for silence."""
    outcomes = [one.exchange.outcome for one in bench.of(ExchangeDone)][-2:]
    assert all(isinstance(one, NormalReply | NoReply) for one in outcomes)
    return [int.from_bytes(one.adu[3:5], "big") if isinstance(one, NormalReply) else None for one in outcomes]


def test_the_demo_probe_moves_from_1_to_45_and_back(library: ProfileLibrary) -> None:
    """As delivered it is at 1, and planned at 45; its address acts at once.

    The controllers, which find the speed by themselves, have followed to 4800 baud by then: that they stay is ticked.
    """
    plan = plan_by_page(DEMO, library)

    bench = ran(DEMO, SEARCH, UnlockWriting(WHY), StartReaddress(plan), ask(1), ask(45))

    assert ended(bench).end is ReaddressEnd.MOVED_AT_ONCE
    assert last_words(bench) == [None, 45]
    page = page_of(bench.items, library)
    page.take([WritingTold(is_open=True, reason=WHY, left_s=300.0)])
    state = page.presenter.state
    assert [[cell.words for cell in row] for row in state.other.outcome.rows] == [
        ["1 at 4800 8N1", "silent"],
        ["45 at 4800 8N1", "answers"],
    ]
    assert [cell.words for cell in state.write.changes[0]] == ["Device 1 at 4800 8N1", "1 → 45"]
    page.presenter.put_back_row(0)
    form = page.presenter.state.other.move
    page.presenter.change_move(MoveTyped("1", SPEEDS.index(4800), 0, form.writes, "1", may_have_company=True))
    page.presenter.move()
    back = page.commands.of(StartReaddress)[-1].plan
    again = ran(DEMO, SEARCH, UnlockWriting(WHY), StartReaddress(plan), StartReaddress(back), ask(1), ask(45))
    assert last_words(again) == [1, None]
    assert page_of(again.items, library).presenter.state.write.changes == ()


def test_a_probe_that_needs_its_supply_cycled_is_asked_for_that_and_found(
    tmp_path: Path, library: ProfileLibrary
) -> None:
    port = line_of(tmp_path, ("probe", 1, 'write_effect = "after_restart"'))
    plan = plan_by_page(port, library)

    def cycle(bench: EngineBench, event: object) -> None:
        if isinstance(event, RestartWanted):
            bench.meanwhile(UseHand(Hand.POWER_CYCLE, "probe"))

    bench = ran(port, SEARCH, UnlockWriting(WHY), StartReaddress(plan), ask(1), ask(45), during=cycle)

    assert bench.of(RestartSeen)
    assert ended(bench).end is ReaddressEnd.MOVED_AFTER_RESTART
    assert last_words(bench) == [None, 45]
    steps = [one.name for one in page_of(bench.items, library).presenter.state.other.outcome.steps]
    assert steps[-2:] == ["Its supply", "Where is it?"]


def test_a_supply_that_is_cycled_too_late_is_seen_by_looking_again(tmp_path: Path, library: ProfileLibrary) -> None:
    port = line_of(tmp_path, ("probe", 1, 'write_effect = "after_restart"'))
    plan = plan_by_page(port, library)

    bench = ran(
        port,
        SEARCH,
        UnlockWriting(WHY),
        StartReaddress(plan),
        UseHand(Hand.POWER_CYCLE, "probe"),
        LookForMoved(plan),  # its boot takes 2 s: the first looks find nobody
        LookForMoved(plan),
    )

    first, *_, last = bench.of(ReaddressEnded)
    assert (first.end, last.end) == (ReaddressEnd.NOT_MOVED, ReaddressEnd.MOVED)
    assert len(bench.of(SettingWritten)) == 1
    assert page_of(bench.items, library).presenter.state.sentence == "1 to 45: it is there."


def test_a_probe_that_takes_another_address_than_it_was_told_is_lost_and_said_so(
    tmp_path: Path, library: ProfileLibrary
) -> None:
    """Register 100 is typed as 54 by mistake; the device is meant to be at 45."""
    port = line_of(tmp_path, ("probe", 1, ""))
    page = page_of(ran(port, SEARCH).items, library)
    page.take([WritingTold(is_open=True, reason=WHY, left_s=300.0)])
    page.presenter.change_move(MoveTyped("45", SPEEDS.index(4800), 0, "100=54", "45", may_have_company=False))
    page.presenter.move()
    (command,) = page.commands.of(StartReaddress)

    bench = ran(port, SEARCH, UnlockWriting(WHY), command)

    assert ended(bench).end is ReaddressEnd.LOST
    outcome = page_of(bench.items, library).presenter.state.other.outcome
    assert outcome.headline.startswith("Nothing answers at 1 at 4800 8N1, 45 at 4800 8N1: cycle its supply, then")
    assert {row[1].words for row in outcome.rows} == {"silent"}


@pytest.mark.parametrize(
    ("second_s", "second_address", "words"),
    [(0.026, 1, "two devices may share"), (0.0115625, 1, "two"), (0.015, 45, "45 at 4800 8N1 answers already")],
    ids=["the old one, in turn", "the old one, at once", "the new one"],
)
def test_nothing_is_written_where_two_share_an_address(
    tmp_path: Path, library: ProfileLibrary, second_s: float, second_address: int, words: str
) -> None:
    one = "turnaround = { least_s = 0.01, median_s = 0.01 }"
    two = f"turnaround = {{ least_s = {second_s}, median_s = {second_s} }}"
    alone = line_of(tmp_path, ("probe", 1, one))
    plan = plan_by_page(alone, library)
    port = line_of(tmp_path, ("probe", 1, one), ("other probe", second_address, two))

    bench = ran(port, UnlockWriting(WHY), StartReaddress(plan))

    assert ended(bench).end is ReaddressEnd.GIVEN_UP
    assert words in ended(bench).sentence
    assert bench.of(SettingWritten) == []
    assert {one.exchange.request_adu[1] for one in bench.of(ExchangeDone)} == {3}


def test_looking_again_needs_no_unlocking_and_a_lost_stop_no_write(tmp_path: Path, library: ProfileLibrary) -> None:
    port = line_of(tmp_path, ("probe", 1, ""))
    plan = plan_by_page(port, library)

    bench = ran(port, LookForMoved(plan))

    assert bench.items_of(Refused) == []
    assert ended(bench).end is ReaddressEnd.NOT_MOVED
    assert {one.exchange.request_adu[1] for one in bench.of(ExchangeDone)} == {3}


def test_a_cancel_before_the_write_leaves_everything_as_it_was(library: ProfileLibrary) -> None:
    plan = plan_by_page(DEMO, library)

    def cancel(bench: EngineBench, event: object) -> None:
        if isinstance(event, ExchangeDone) and event.exchange.server_address == 100:
            bench.engine.stop()

    bench = ran(DEMO, SEARCH, UnlockWriting(WHY), StartReaddress(plan), ask(1), ask(45), during=cancel)

    assert bench.of(SettingWritten) == []
    assert last_words(bench) == [1, None]
    page = page_of(bench.items, library)
    assert page.presenter.state.other.outcome.headline == "Nothing was written: stopped by the user."
    assert [one.server_address for one in bench.of(Found)] == [1]


def test_a_frame_with_a_wrong_check_sum_is_met_with_silence(tmp_path: Path) -> None:
    """Serial Line V1.02, 2.5.1.2: a frame whose CRC does not match is not answered."""
    port = line_of(tmp_path, ("probe", 1, ""))
    right = closed(bytes([1, 3, 0, 100, 0, 1]))
    wrong = right[:-2] + bytes(byte ^ 0xFF for byte in right[-2:])

    bench = ran(port, UnlockWriting("what does it say to a wrong CRC"), SendFrame(wrong, SLOW), SendFrame(right, SLOW))

    first, second = [one.exchange.outcome for one in bench.of(ExchangeDone)]
    assert isinstance(first, NoReply)
    assert isinstance(second, NormalReply)
    assert not isinstance(second, CorruptReply)
