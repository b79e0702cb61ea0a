"""Presence watches over simulated lines in virtual time: who is quiet, how soon that is known, what a round takes."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.outcome import NoReply
from buswalk.domain.presence.events import AnsweredLate, CameBack, PresenceBase, PresenceRound, WentQuiet
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.watching.plan import WatchedDevice
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import N81, shipped_site, written_site
from tests.fakes.watched_line import READ
from tests.fakes.watched_presence import WatchedPresence

MOST_ROUND_S = 5.0
"""practice: pain 51 wants the view to be renewed in under 5 s with 20 devices."""


def device(address: int, habits: str = "") -> str:
    head = f'[[device]]\nname = "d{address}"\naddress = {address}\nsettings = "9600 8N1"\nplace = {address}\n'
    return f"{head}[device.habits]\n{habits}\n"


def slow(turnaround_s: float, gap_s: float = 0.0) -> str:
    turnaround = f"{{ least_s = {turnaround_s}, median_s = {turnaround_s} }}"
    return f"turnaround = {turnaround}\nminimum_gap_s = {gap_s}\n"


def plan(*addresses: int, wait_s: float = 0.3) -> PresencePlan:
    return PresencePlan(tuple(WatchedDevice(one, N81, READ, wait_s) for one in addresses))


def twenty(tmp_path: Path, adapter: str = "") -> SimulatedSite:
    """Twenty devices as slow as the promise allows: 100 ms, and 50 ms of silence from any frame before each request."""
    habits = slow(0.1, 0.05) + 'gap_counts_from = "any_frame"\n'
    return written_site(tmp_path, adapter + "".join(device(one, habits) for one in range(1, 21)))


@pytest.mark.parametrize("latency_s", [0.001, 0.016])
def test_a_round_of_twenty_takes_less_than_five_seconds(tmp_path: Path, latency_s: float) -> None:
    """At 9600 baud, each with 100 ms of turnaround and a gap of 50 ms; also through a port that hands over late."""
    site = twenty(tmp_path, f"[adapter]\nlatency_step_s = {latency_s}\n")

    watched = WatchedPresence(site, plan(*range(1, 21)), 6)

    base = watched.of(PresenceBase)[0]
    rounds = watched.of(PresenceRound)
    assert len(base.answering) == 20
    assert all(one.answering == 20 and one.slow == () for one in rounds)
    assert max(one.took_s for one in rounds) < MOST_ROUND_S
    assert watched.of(WentQuiet) == []


def test_a_round_takes_less_than_five_seconds_also_where_all_are_quiet(tmp_path: Path) -> None:
    """Waits are learnt of each device, so a silence costs little more than its answer did."""
    site = twenty(tmp_path)

    def unplug_all() -> None:
        for one in range(1, 21):
            site.hands.unplug(f"d{one}")

    watched = WatchedPresence(site, plan(*range(1, 21)), 8, {2: unplug_all})

    assert {one.server_address for one in watched.of(WentQuiet)} == set(range(1, 21))
    last = watched.of(PresenceRound)[-1]
    assert (last.answering, last.quiet) == (0, 20)
    assert last.took_s < MOST_ROUND_S


def test_a_plug_that_is_pulled_is_told_after_two_rounds_and_so_is_its_return(tmp_path: Path) -> None:
    site = written_site(tmp_path, "".join(device(one) for one in (11, 12, 13)))
    pulled_s: list[float] = []

    def pull() -> None:
        pulled_s.append(site.timeline.now_s())
        site.hands.unplug("d12")

    watched = WatchedPresence(site, plan(11, 12, 13), 9, {2: pull, 6: lambda: site.hands.plug_in("d12")})

    quiet, back = watched.of(WentQuiet), watched.of(CameBack)
    assert [one.server_address for one in quiet] == [12]
    assert [one.server_address for one in back] == [12]
    assert pulled_s[0] <= quiet[0].since_s < pulled_s[0] + 1.0
    assert quiet[0].at_s - pulled_s[0] < 2 * MOST_ROUND_S
    assert back[0].after_s == pytest.approx(back[0].at_s - quiet[0].since_s)
    assert [one.quiet for one in watched.of(PresenceRound)] == [0, 0, 0, 1, 1, 1, 0, 0, 0]


def test_one_lost_round_is_not_quiet(tmp_path: Path) -> None:
    site = written_site(tmp_path, "".join(device(one) for one in (11, 12)))

    watched = WatchedPresence(
        site, plan(11, 12), 8, {2: lambda: site.hands.unplug("d12"), 3: lambda: site.hands.plug_in("d12")}
    )

    assert watched.of(WentQuiet) == []
    assert [one.server_address for one in watched.exchanges if isinstance(one.outcome, NoReply)] == [12]


def test_who_is_confused_by_an_absent_neighbour_does_not_count_as_quiet(tmp_path: Path) -> None:
    """It loses what comes within 0.4 s of a frame of others (fault F52), which the base shows: it is given a pause."""
    confused = "disobedience = { confused_s = 0.4 }\n"
    site = written_site(
        tmp_path, "".join(device(one, confused if one in (12, 14, 15) else "") for one in range(11, 17))
    )

    def pull_two() -> None:
        site.hands.unplug("d11")
        site.hands.unplug("d13")

    watched = WatchedPresence(site, plan(*range(11, 17)), 12, {2: pull_two})

    assert sorted(one.server_address for one in watched.of(WentQuiet)) == [11, 13]


def test_those_that_need_long_are_asked_in_every_second_round_and_named(tmp_path: Path) -> None:
    site = written_site(tmp_path, device(11) + device(51, slow(0.64)) + device(52, slow(0.5)))

    watched = WatchedPresence(site, plan(11, 51, 52, wait_s=0.8), 8)

    assert all(one.slow == (51, 52) for one in watched.of(PresenceRound))
    after_base = [one.server_address for one in watched.exchanges[3:]]
    rounds = [tuple(after_base[at : at + 2]) for at in range(0, len(after_base), 2)]
    assert set(rounds[::2]) | set(rounds[1::2]) == {(11, 51), (11, 52)}
    assert len(set(rounds[::2])) == len(set(rounds[1::2])) == 1


def test_who_answers_late_is_not_quiet_and_is_given_more_time(tmp_path: Path) -> None:
    """It takes 30 ms, or seldom up to 400 ms."""
    habits = "turnaround = { least_s = 0.03, median_s = 0.031, tail_share = 0.2, most_s = 0.4 }\n"
    site = written_site(tmp_path, device(11) + device(12, habits))

    watched = WatchedPresence(site, plan(11, 12), 60)

    late = watched.of(AnsweredLate)
    assert {one.server_address for one in late} == {12}
    assert all(0.05 < one.took_s < 0.6 for one in late)
    assert watched.of(WentQuiet) == []
    assert 12 in watched.of(PresenceRound)[-1].slow


def test_who_was_silent_from_the_beginning_is_asked_now_and_then(tmp_path: Path) -> None:
    """One of them a round, and told when it comes."""
    site = written_site(tmp_path, "".join(device(one) for one in (11, 12, 13, 14)))
    for name in ("d12", "d13", "d14"):
        site.hands.unplug(name)

    watched = WatchedPresence(site, plan(11, 12, 13, 14), 9, {3: lambda: site.hands.plug_in("d13")})

    assert watched.of(PresenceBase)[0].silent == (12, 13, 14)
    assert watched.of(WentQuiet) == []
    assert [one.server_address for one in watched.of(CameBack)] == [13]
    assert watched.of(PresenceRound)[-1].answering == 2


def test_another_client_keeps_it_from_asking() -> None:
    site = shipped_site("another-client")
    asked = PresencePlan((WatchedDevice(37, N81, READ),), listen_s=10.0)

    watched = WatchedPresence(site, asked, 1)

    assert [one.verdict for one in watched.of(LivingLine)] == [Verdict.TRAFFIC]
    assert watched.exchanges == []


def test_a_device_at_another_speed_is_asked_there(tmp_path: Path) -> None:
    other = device(45).replace("9600", "4800")
    site = written_site(tmp_path, device(11) + other + device(12))
    at_4800 = WatchedDevice(45, SerialSettings.of(4800, "8N1"), READ)
    asked = PresencePlan((*plan(11).devices, at_4800, *plan(12).devices))

    watched = WatchedPresence(site, asked, 3)

    assert watched.of(PresenceBase)[0].answering == (11, 45, 12)
    assert watched.of(WentQuiet) == []
