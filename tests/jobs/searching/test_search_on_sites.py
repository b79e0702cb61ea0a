"""Whole searches over whole sites and single faults, in virtual time, held against what each scenario expects.

The scenarios say by themselves what a good tool finds (`[expect]`); sets are compared, never order.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.cli.find_words import found_line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import (
    AdapterHearsItself,
    AnswersEverywhere,
    AskedRested,
    Depth,
    Doubt,
    LineChatters,
    LivingLine,
    SearchEnd,
    SearchPlan,
    SilentAskedWith,
    Unclear,
    Verdict,
)
from buswalk.domain.search.prior import asked_as, usual_settings
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search
from simulated_line.scenario.model import ExpectedDevice
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine
from tests.jobs.searching.simulated_search import Searched, SimulatedSearch, plan_for, searched, settings_at

WHOLE = SearchPlan(addresses=tuple(range(1, 248)), settings=usual_settings(), may_probe_living_line=True)


def allows(expected: ExpectedDevice, settings: SerialSettings) -> bool:
    """Without parity 8N1 and 8N2 are one: asked as 8N2."""
    if expected.settings == "any":
        return True
    speeds_and_framings = (text.split() for text in expected.settings)
    return settings in {asked_as(SerialSettings.of(int(speed), framing)) for speed, framing in speeds_and_framings}


def disagreements(result: Searched, expected: list[ExpectedDevice]) -> list[str]:
    """Return what was found and not expected, expected and not found, or found otherwise."""
    by_address = {one.server_address: one for one in expected}
    problems = [
        f"{address} is {'missing' if address in by_address else 'not expected'}"
        for address in by_address.keys() ^ result.addresses
        if address not in result.unclear or not by_address[address].doubt
    ]
    for found in result.found:
        wanted = by_address.get(found.server_address)
        if wanted is not None and not allows(wanted, found.settings):
            problems.append(f"{found.server_address} found at {found.settings}")
        if wanted is not None and wanted.doubt and wanted.doubt not in found_line(found):
            problems.append(f"{found.server_address} is found without the doubt '{wanted.doubt}'")
        if wanted is not None and not wanted.doubt and "two devices" in found_line(found):
            problems.append(f"{found.server_address} is taken for two devices")
    return problems


@pytest.mark.parametrize("name", ["greenhouse-first-day", "hall-first-day"])
def test_a_search_of_a_whole_site_finds_what_is_there_and_nothing_else(name: str) -> None:
    """In the hall another client asks on, every two seconds, all the while."""
    expected = SimulatedSearch(name).file.expect.device

    result = searched(name, WHOLE)

    assert disagreements(result, expected) == []
    assert result.unclear == set()
    assert result.end.end is SearchEnd.ALL_ASKED


SINGLE_FAULTS = (
    "adapter-latency",
    "another-client",
    "another-protocol",
    "boots",
    "computer-stalls",
    "damaged-echo",
    "device-releases-late",
    "duplicate-address-in-turn",
    "duplicate-address-offset",
    "duplicate-address-together",
    "finds-its-speed",
    "laptop-brings-the-bias",
    "late-reply",
    "local-echo",
    "loose-contact",
    "needs-a-pause",
    "no-device",
    "noise-with-plant",
    "other-speed",
    "other-stop-bits",
    "parity-checked",
    "parity-not-checked",
    "pause-inside-reply",
    "quantity-limit",
    "random-noise",
    "reflections",
    "refuses",
    "silent-on-a-function",
    "slow-device",
    "stray-byte-after-reply",
    "stray-byte-before-reply",
)


@pytest.mark.parametrize("name", SINGLE_FAULTS)
def test_one_fault_on_the_line_does_not_hide_a_device_nor_invent_one(name: str) -> None:
    expected = SimulatedSearch(name).file.expect.device

    result = searched(name, plan_for())

    assert disagreements(result, expected) == []


@pytest.mark.parametrize(
    "name",
    [
        "adapter-releases-early",
        "ascii-mode",
        "held-at-mark",
        "pair-swapped-at-client-biased",
        "pair-swapped-at-client-unbiased",
        "pair-swapped-at-device",
        "short-across-the-pair",
    ],
)
def test_where_nothing_can_be_understood_no_device_is_claimed(name: str) -> None:
    result = searched(name, plan_for())

    assert (result.addresses, result.unclear, result.everywhere) == (set(), set(), [])
    assert result.end.end is SearchEnd.ALL_ASKED


def test_behind_a_bad_core_a_device_is_found_in_doubt_if_at_all() -> None:
    """One bit in fifty is wrong there: an answer that comes whole proves the device, and hardly more."""
    result = searched("one-core-open", plan_for())

    assert result.addresses <= {37}
    assert all(Doubt.ANSWERS_SOMETIMES in one.doubts for one in result.found)
    assert result.end.end is SearchEnd.ALL_ASKED


@pytest.mark.parametrize(
    "name", ["check-sum-swapped", "device-driver-late", "truncated-reply", "wrong-byte-count", "adapter-releases-late"]
)
def test_a_device_that_never_answers_whole_is_unclear_and_not_found(name: str) -> None:
    result = searched(name, plan_for())

    (unclear,) = [one for one in result.events if isinstance(one, Unclear)]
    assert (unclear.address, result.addresses) == (37, set())
    assert len(unclear.exchange_numbers) >= 3


def test_a_device_that_needs_a_pause_is_found_and_said_to_need_one() -> None:
    result = searched("needs-a-pause", plan_for())

    assert [one.doubts for one in result.found] == [(Doubt.NEEDS_A_PAUSE,)]


@pytest.mark.parametrize("planned", [(), (37,)])
def test_a_device_that_neighbours_confuse_is_found_after_rests(planned: tuple[int, ...]) -> None:
    """It ignores requests for 0.4 s after one to an absent device: among silent addresses only a rest helps."""
    plan = replace(plan_for(), planned=frozenset(planned))

    result = searched("confused-by-missing-neighbour", plan)

    assert result.addresses == {37}
    assert any(isinstance(one, AskedRested) for one in result.events) == (not planned)


def test_a_device_that_does_not_check_parity_is_found_once_in_its_own_framing() -> None:
    """8E1 heard as 8N1 has a framing error on every byte of even weight; asked in 8E1 it has none."""
    result = searched("parity-not-checked", plan_for())

    (found,) = result.found
    assert (str(found.settings), found.doubts) == ("9600 8E1", (Doubt.DOES_NOT_CHECK_FRAMING,))


def test_a_device_that_answers_as_another_is_found_under_the_address_it_answers_with() -> None:
    """The file sets 38 in the answers of the device at 37."""
    result = searched("answers-with-another-address", plan_for())

    assert [(one.server_address, one.doubts) for one in result.found] == [(38, (Doubt.ANSWERS_AS_ANOTHER,))]


def test_a_line_held_at_space_is_said_to_be_held_and_no_device_is_blamed() -> None:
    """Each release of our own sending ends in the break again: a byte 00 after every request, whoever is asked."""
    result = searched("held-at-space", plan_for(alone=True))

    assert (result.addresses, result.unclear) == (set(), set())
    assert result.end.end is SearchEnd.NEVER_QUIET
    assert "held at space" in result.end.sentence
    assert result.end.seconds < 120


def test_a_device_that_answers_everywhere_is_one_finding_within_twenty_addresses() -> None:
    result = searched("answers-at-every-address", plan_for())

    (everywhere,) = result.everywhere
    assert everywhere.asked <= 20
    assert len(everywhere.addresses_tried) <= 20
    assert (result.addresses, result.end.end) == (set(), SearchEnd.ALL_ASKED)


@pytest.mark.parametrize("name", ["another-client", "another-protocol", "held-at-space", "hall-first-day"])
def test_a_living_line_is_not_asked_without_leave(name: str) -> None:
    search = SimulatedSearch(name)

    result = Searched(list(search.job(plan_for(may_probe=False)).run()))

    assert search.asked == []
    assert result.end.end is SearchEnd.LIVING_LINE
    (living,) = [one for one in result.events if isinstance(one, LivingLine)]
    assert "nothing was sent" in living.sentence


def test_the_kind_of_life_is_named() -> None:
    def verdict(name: str) -> Verdict:
        events = SimulatedSearch(name).job(plan_for(may_probe=False)).run()
        return next(one.verdict for one in events if isinstance(one, LivingLine))

    verdicts = {name: verdict(name) for name in ("another-client", "another-protocol", "held-at-space")}

    assert verdicts == {
        "another-client": Verdict.TRAFFIC,
        "another-protocol": Verdict.BABBLE,
        "held-at-space": Verdict.HELD,
    }


CHATTER = """
name = "chatter"
story = "Something sends without end."
seed = 5

[[device]]
name = "example"
address = 37
settings = "9600 8N1"
place = 1
metres = 40.0

[[chatter]]
name = "endless"
settings = "9600 8N1"
data = "{data}"
period_s = {period_s}

[expect]
"""


def chatter(folder: Path, data: str, period_s: float) -> Path:
    path = folder / "chatter.toml"
    path.write_text(CHATTER.format(data=data, period_s=period_s), encoding="utf-8")
    return path


def test_a_sender_that_never_stops_ends_the_search_in_one_sentence() -> None:
    """Three characters every 3 ms at 9600 8N1: no silence of t3.5 is left."""
    clock = JumpingClock()
    line = ReplayingLine(clock)
    for number in range(3000):
        line.play(0.001 + number * 0.003, b"\x5a\x5a\x5a")
    evidence = Evidence()
    job = Search(Asker(line, clock, evidence), evidence, plan_for(alone=True))

    result = Searched(list(job.run()))

    assert line.writes == []
    assert result.end.end is SearchEnd.NEVER_QUIET
    assert "somebody else keeps sending" in result.end.sentence
    assert result.end.seconds < 3


def test_thorough_too_says_once_that_every_address_answers() -> None:
    """It names none silent there: most were not asked."""
    plan = replace(plan_for(range(1, 31)), settings=settings_at(9600), listen_s=0.0, depth=Depth.THOROUGH)

    result = searched("answers-at-every-address", plan)

    everywhere = [one for one in result.events if isinstance(one, AnswersEverywhere)]
    silent = [one for one in result.events if isinstance(one, SilentAskedWith)]
    assert (len(everywhere), result.addresses, result.end.end) == (1, set(), SearchEnd.ALL_ASKED)
    assert silent and all(one.functions and everywhere[0].settings not in one.settings for one in silent)


@pytest.mark.parametrize("depth", list(Depth))
def test_single_bytes_without_end_are_said_after_half_a_minute_and_given_up_within_one(
    tmp_path: Path, depth: Depth
) -> None:
    """Each pause leaves room to ask and is too short to end an exchange: it took three minutes to give up."""
    path = chatter(tmp_path, "41", 0.012)

    result = searched(path, replace(plan_for(), listen_s=0.0, depth=depth))

    assert result.end.end is SearchEnd.NEVER_QUIET
    assert "chatters without end" in result.end.sentence
    (chatters,) = [one for one in result.events if isinstance(one, LineChatters)]
    assert 30.0 <= chatters.seconds < 40.0
    assert result.end.seconds < 60.0


def test_an_adapter_that_hears_itself_is_said_once_and_its_device_found() -> None:
    result = searched("local-echo", replace(plan_for(range(30, 45)), listen_s=0.0))

    assert sum(isinstance(one, AdapterHearsItself) for one in result.events) == 1
    assert result.addresses == {37}


def test_two_minutes_of_garbage_end_in_one_sentence_and_in_no_device(tmp_path: Path) -> None:
    """A short burst every 30 ms leaves room to ask, and follows every request."""
    path = chatter(tmp_path, "D3 11 7E", 0.030)

    result = searched(path, replace(plan_for(), listen_s=120.0))

    assert (result.addresses, result.unclear) == (set(), set())
    assert result.end.end is SearchEnd.NEVER_QUIET


def test_echoes_that_come_back_changed_cost_their_own_request_once_more_and_no_hold(tmp_path: Path) -> None:
    """One character in twenty comes back changed, so a third of all requests; each hold took a minute in all."""
    plan = replace(plan_for(range(1, 61)), settings=settings_at(9600), listen_s=0.0)
    plain = searched("local-echo", plan)

    damaged = searched("damaged-echo", plan)

    assert plain.addresses == damaged.addresses == {37}
    assert damaged.end.seconds < 4.0 * plain.end.seconds + 60.0
