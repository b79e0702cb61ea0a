"""Line watches over simulated lines of known truth: all that is abnormal is told once, with the right outcome.

Truth is what the site knows: what its device counted, what the hands did, and the bytes that the port handed over,
compared with the one right reply.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from buswalk.domain.line_events import Credit
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.outcome import NoReply, NormalReply
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.statistics.device_quality import is_clean
from buswalk.domain.statistics.marked_spans import InsideCounter, MarkedSpan
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.domain.watching.events import DeviceAbsent, DeviceBack, WatchProgress
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from buswalk.domain.watching.waits import Waits
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import EXAMPLE, N81, shipped_site, written_site
from tests.fakes.watched_line import EXAMPLE_REPLY, READ, WatchedLine, example_plan

LUMPS = "\n[adapter]\nlatency_step_s = 0.016\n"
THREE = "".join(
    f'[[device]]\nname = "{name}"\naddress = {address}\nsettings = "9600 8N1"\nplace = {place}\n'
    for place, (name, address) in enumerate((("first", 11), ("second", 12), ("third", 13)), start=1)
)


def three(period_s: float = 0.0, share: float = 1.0) -> WatchPlan:
    devices = tuple(WatchedDevice(address, N81, READ, wait_s=0.2) for address in (11, 12, 13))
    return WatchPlan(devices, period_s, share, listen_s=0.0)


def at(site: SimulatedSite, time_s: float, act: Callable[[], str]) -> None:
    """Have a hand act at a time."""

    def do() -> None:
        act()

    site.timeline.at(time_s, do)


def numbers_of(watched: WatchedLine) -> list[int]:
    return [one.number for one in watched.exchanges]


@pytest.mark.parametrize("exchanges", [5_000, pytest.param(100_000, marks=pytest.mark.long)])
def test_on_a_clean_line_nothing_is_abnormal(tmp_path: Path, exchanges: int) -> None:
    """Each exchange is told once, as answered; no late reply, no stray byte, no event but progress."""
    watched = WatchedLine(written_site(tmp_path, LUMPS + EXAMPLE), example_plan(), exchanges)

    assert numbers_of(watched) == list(range(1, exchanges + 1))
    assert watched.truth(EXAMPLE_REPLY) == {"clean": exchanges}
    assert all(isinstance(one.outcome, NormalReply) and not one.observations for one in watched.exchanges)
    assert len(watched.line_events) == exchanges
    assert {type(one) for one in watched.events} == {WatchProgress}


def test_even_noise_is_counted_as_it_fell() -> None:
    """A request that was hit is silence: as many as the device did not answer. A reply that was hit is told as such."""
    site = shipped_site("random-noise")

    watched = WatchedLine(site, example_plan(), 700)

    truth, row = watched.truth(EXAMPLE_REPLY), watched.quality(37).row
    assert numbers_of(watched) == list(range(1, 701))
    assert row.no_reply == truth["nothing"] == 700 - site.devices["example"].answerer.counters.completed
    assert row.short == truth["shorter"] > 0
    assert row.damaged == truth["other bytes"] > 0
    assert row.answered == truth["clean"]
    assert row.asked == 700
    assert all(is_clean(one) == (one.received == EXAMPLE_REPLY) for one in watched.exchanges)


def test_a_stray_byte_before_each_reply_is_seen_each_time() -> None:
    """It is answered all the same, and not clean."""
    watched = WatchedLine(shipped_site("stray-byte-before-reply"), example_plan(), 200)

    row = watched.quality(37).row
    assert watched.truth(EXAMPLE_REPLY) == {"clean among other bytes": 200}
    assert (row.answered, row.beside.stray, row.not_clean, row.asked) == (200, 200, 200, 200)


def test_a_reply_cut_after_four_bytes_is_short_each_time() -> None:
    watched = WatchedLine(shipped_site("truncated-reply"), example_plan(), 200)

    row = watched.quality(37).row
    assert {one.received for one in watched.exchanges} == {EXAMPLE_REPLY[:4]}
    assert (row.short, row.asked, row.not_clean) == (200, 200, 200)
    assert watched.events == []


def test_what_a_slow_device_answers_after_the_wait_is_late_and_no_silence() -> None:
    """It takes 300 to 900 ms and is given 500: what began later is told as late, once each, and it is never absent."""
    watched = WatchedLine(shipped_site("slow-device"), example_plan(wait_s=0.5), 200)

    began_late = sum(
        one.first_s - one.sent.end_not_after_s > 0.5 + watched.line.traits.latency_s for one in watched.line.asked
    )
    row, turnarounds = watched.quality(37).row, watched.quality(37).turnarounds
    assert watched.truth(EXAMPLE_REPLY) == {"clean": 200}
    assert 80 < began_late == row.late == len(watched.late)
    assert {one.credit for one in watched.late} == {Credit.CREDITED}
    assert (row.no_reply, row.answered + row.late) == (0, 200)
    assert {type(one) for one in watched.events} == {WatchProgress}
    assert (turnarounds.seen, turnarounds.late, turnarounds.unseen) == (200, began_late, 0)
    assert 0.3 <= turnarounds.least_s < 0.35
    assert 0.8 < turnarounds.longest_s <= 0.9 + N81.character_s


def test_a_loose_contact_shows_where_it_was_open() -> None:
    """Behind place 0 the pair is open for 2 s of each 8 s: all that fails was on the line then, and nothing else."""
    watched = WatchedLine(shipped_site("loose-contact"), example_plan(wait_s=0.2), 800)

    def was_open(at_s: float) -> bool:
        return at_s % 8.0 >= 6.0

    quality = watched.quality(37)
    for one in watched.exchanges:
        begun, ended = was_open(sent_at_s(one)), was_open(one.ended_s)
        if begun:
            assert not is_clean(one)
        if not begun and not ended:
            assert is_clean(one)
    assert quality.row.not_clean == 800 - watched.truth(EXAMPLE_REPLY)["clean"] > 10
    assert 2.0 <= quality.outage.seconds <= 2.0 + 1.0 + 0.2 + 0.1
    assert quality.bunching.chance < 1e-6


def test_noise_with_the_plant_is_found_inside_its_marks() -> None:
    """The fan runs in two spans: what fails, fails there, and the exact test says that chance does not do that."""
    site = shipped_site("noise-with-plant")
    spans = (MarkedSpan(1, 5.0, 15.0), MarkedSpan(1, 20.0, 25.0))
    for span in spans:
        at(site, span.from_s, site.hands.plant_on)
        at(site, span.to_s, site.hands.plant_off)

    watched = WatchedLine(site, example_plan(), 600)

    counter = InsideCounter(spans)
    for one in watched.exchanges:
        counter.take(1, (sent_at_s(one), one.ended_s), is_clean=is_clean(one))
    table = counter.table()
    assert watched.quality(37).row.not_clean == 600 - watched.truth(EXAMPLE_REPLY)["clean"]
    assert table.not_clean_outside == 0 < table.not_clean_inside
    assert table.clean_inside > 0
    assert counter.across <= 4
    assert table.chance < 1e-6


def test_an_absent_device_is_asked_rarely_and_taken_back_at_once(tmp_path: Path) -> None:
    """The second is unplugged from 10 s to 100 s. Its neighbours are as clean as before, and its own answer ends it."""
    site = written_site(tmp_path, THREE)
    at(site, 10.0, lambda: site.hands.unplug("second"))
    at(site, 100.0, lambda: site.hands.plug_in("second"))

    watched = WatchedLine(site, three(share=0.3), 1300)

    away = [one for one in watched.exchanges if one.server_address == 12 and 10.0 <= sent_at_s(one) < 100.0]
    absent, back = (one for one in watched.events if not isinstance(one, WatchProgress))
    assert isinstance(absent, DeviceAbsent)
    assert isinstance(back, DeviceBack)
    assert (absent.server_address, absent.silent, absent.since_s) == (12, 3, sent_at_s(away[0]))
    assert all(isinstance(one.outcome, NoReply) for one in away)
    assert len(away) <= 3 + 90 / 15
    assert 100.0 <= back.at_s <= 100.0 + 15.1
    assert watched.quality(12).row.not_clean == len(away)
    assert watched.quality(12).outage.requests == len(away)
    assert (watched.quality(11).row.not_clean, watched.quality(13).row.not_clean) == (0, 0)
    after = Counter(one.server_address for one in watched.exchanges if sent_at_s(one) > back.at_s)
    assert max(after.values()) - min(after.values()) <= 1


def test_devices_take_turns_and_no_one_more_often_than_the_period(tmp_path: Path) -> None:
    watched = WatchedLine(written_site(tmp_path, THREE), three(period_s=2.0), 60)

    assert [one.server_address for one in watched.exchanges] == [11, 12, 13] * 20
    began = [sent_at_s(one) for one in watched.exchanges if one.server_address == 12]
    apart = [later - earlier for earlier, later in pairwise(began)]
    assert all(2.0 - 1e-6 <= one < 2.1 for one in apart)


@pytest.mark.parametrize("share", [0.1, 0.5])
def test_exchanges_take_no_more_of_the_line_than_was_agreed(tmp_path: Path, share: float) -> None:
    watched = WatchedLine(written_site(tmp_path, THREE), three(share=share), 300)

    began = [sent_at_s(one) for one in watched.exchanges]
    busy_s = sum(one.ended_s - sent_at_s(one) for one in watched.exchanges[:-1])
    assert share * 0.9 < busy_s / (began[-1] - began[0]) <= share


def test_a_device_that_wants_a_pause_is_given_it(tmp_path: Path) -> None:
    """It ignores what comes within 200 ms of its own reply: with the pause in the plan nothing is lost."""
    slow = EXAMPLE + "[device.habits]\nminimum_gap_s = 0.2\n"
    plan = example_plan()
    paused = replace(plan, devices=(replace(plan.devices[0], minimum_gap_s=0.21),))

    with_pause = WatchedLine(written_site(tmp_path, slow), paused, 100)
    without = WatchedLine(written_site(tmp_path, slow), plan, 100)

    assert with_pause.truth(EXAMPLE_REPLY) == {"clean": 100}
    assert without.truth(EXAMPLE_REPLY)["nothing"] > 20


def test_devices_at_other_settings_are_watched_with_one_change_a_round(tmp_path: Path) -> None:
    other = THREE.replace(
        '"second"\naddress = 12\nsettings = "9600 8N1"', '"second"\naddress = 12\nsettings = "19200 8E1"'
    )
    site = written_site(tmp_path, other)
    e1 = N81.of(19_200, "8E1")
    devices = (WatchedDevice(11, N81, READ), WatchedDevice(12, e1, READ), WatchedDevice(13, N81, READ))

    watched = WatchedLine(site, WatchPlan(devices, listen_s=0.0), 90)

    assert [one.server_address for one in watched.exchanges] == [11, 13, 12] * 30
    assert all(isinstance(one.outcome, NormalReply) for one in watched.exchanges)


def test_where_another_client_lives_nothing_is_asked() -> None:
    plan = replace(example_plan(), listen_s=10.0)

    watched = WatchedLine(shipped_site("another-client"), plan, 10)

    assert watched.line.asked == []
    assert isinstance(watched.events[-1], LivingLine)
    assert watched.events[-1].verdict is Verdict.TRAFFIC


def test_a_living_line_is_watched_where_the_user_said_so() -> None:
    plan = replace(example_plan(), listen_s=10.0, may_ask_living_line=True)

    watched = WatchedLine(shipped_site("another-client"), plan, 20)

    assert len(watched.exchanges) == 20


@pytest.mark.long
def test_two_days_pass_and_each_exchange_is_told(tmp_path: Path) -> None:
    """Three devices, each asked every minute for two days: 8 640 exchanges, all clean."""
    watched = WatchedLine(written_site(tmp_path, LUMPS + THREE), three(period_s=60.0), 8640)

    assert watched.exchanges[-1].ended_s == pytest.approx(2 * 86_400, abs=70)
    assert all(is_clean(one) for one in watched.exchanges)


def test_a_watch_never_writes() -> None:
    with pytest.raises(ValueError, match="only reads"):
        WatchedDevice(37, N81, WriteSingleRegister(1, 3))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"devices": ()}, "at least one"),
        ({"share": 0.0}, "share"),
        ({"share": 1.5}, "share"),
        ({"period_s": -1.0}, "period"),
        ({"absent_every_s": 0.0}, "period"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(changes: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        replace(example_plan(), **changes)  # type: ignore[arg-type]


def test_a_device_twice_is_refused() -> None:
    one = WatchedDevice(37, N81, READ)

    with pytest.raises(ValueError, match="once"):
        WatchPlan((one, replace(one, request=ReadHoldingRegisters(4, 1))))


def test_a_wait_by_turnaround_grows_with_the_first_late_reply() -> None:
    """It takes 0.3 to 0.9 s: the first one behind 0.5 s is late, and twice that is waited for from then on."""
    device = WatchedDevice(37, N81, READ, waits=Waits.BY_TURNAROUND)

    watched = WatchedLine(shipped_site("slow-device"), WatchPlan((device,), listen_s=0.0), 200)

    lost = [one for one in watched.exchanges if not isinstance(one.outcome, NormalReply)]
    assert (len(lost), len(watched.late)) == (1, 1)


def test_a_wait_as_told_stays_whatever_is_seen() -> None:
    """Another client that waits 0.5 s loses these answers again and again."""
    device = WatchedDevice(37, N81, READ)

    watched = WatchedLine(shipped_site("slow-device"), WatchPlan((device,), listen_s=0.0), 200)

    assert len(watched.late) > 10
