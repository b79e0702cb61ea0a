"""Searches beside a living client: its exchanges stay whole, what is there is found, and asking stops where it suffers.

How many exchanges the client lost is counted by the client itself, which shares no code with the program.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.listening.client_harm import Harm, OtherClientSuffers
from buswalk.domain.modbus.outcome import CorruptReply, ForeignReply, NoReply, ShortReply
from buswalk.domain.search.events import (
    AmongOthers,
    CycleLeavesNoRoom,
    GoesBetween,
    LivingLine,
    SearchEnd,
    SearchEnded,
    SearchPlan,
    Verdict,
)
from tests.fakes.other_client import Habits
from tests.jobs.searching.live_line import (
    ASKED_AS_PLAIN,
    FAST_EVEN,
    PLAIN,
    READ_11,
    READ_12,
    READ_99,
    LiveLine,
    device,
    held,
    plan,
)
from tests.jobs.searching.simulated_search import SimulatedSearch

BOTH = device(11) + device(12)
WANTED = BOTH + device(37) + device(45, turnaround_s=0.03)
FEW = range(30, 50)


@pytest.mark.parametrize(
    ("period_s", "jitter_s"),
    [(1.0, 0.0), (1.0, 0.05), (2.0, 0.0), (2.0, 0.2), (5.0, 0.1), (10.0, 0.5)],
)
def test_between_its_cycles_nothing_of_the_client_is_lost_and_the_devices_are_found(
    tmp_path: Path, period_s: float, jitter_s: float
) -> None:
    live = LiveLine(tmp_path, WANTED, Habits((READ_11, READ_12), round_s=period_s, jitter_s=jitter_s))

    live.search(plan(*FEW))

    assert live.end.end is SearchEnd.ALL_ASKED, live.end.sentence
    assert live.found == {(37, ASKED_AS_PLAIN), (45, ASKED_AS_PLAIN)}
    assert live.lost <= 1, "the last one may still wait"
    assert live.sent > 40


def test_taking_the_line_over_costs_the_client_exchanges_that_the_pauses_do_not(tmp_path: Path) -> None:
    """The same search twice: what going between the cycles is for."""
    habits = Habits((READ_11, READ_12), round_s=1.0, jitter_s=0.02)
    between = LiveLine(tmp_path, WANTED, habits).search(plan(*range(1, 60)))

    over = LiveLine(tmp_path, WANTED, habits).search(replace(plan(*range(1, 60)), among_others=AmongOthers.TAKES_OVER))

    assert between.lost <= 1
    assert over.lost > 3
    assert over.found >= between.found >= {(37, ASKED_AS_PLAIN), (45, ASKED_AS_PLAIN)}


def test_requests_that_wait_in_vain_are_left_their_wait(tmp_path: Path) -> None:
    """It asks 99 three times with 0.3 s each: no reply of ours comes while it waits."""
    habits = Habits((READ_11, READ_99, READ_12), round_s=3.0, tries=3)
    live = LiveLine(tmp_path, WANTED, habits)
    alone = LiveLine(tmp_path, WANTED, habits)
    alone.asker.listen_until(100.0)

    live.search(plan(*FEW))

    assert live.found == {(37, ASKED_AS_PLAIN), (45, ASKED_AS_PLAIN)}
    lost_alone = (alone.client.asked - alone.client.answered) / alone.client.asked
    assert (live.client.asked - live.client.answered) / live.client.asked == pytest.approx(lost_alone, abs=0.02)


def test_at_another_speed_it_keeps_clear_too(tmp_path: Path) -> None:
    """The client talks at 9600 8N1; one device is at 19200 8E1, which is searched as well."""
    habits = Habits((READ_11, READ_12), round_s=2.0, jitter_s=0.05)
    live = LiveLine(tmp_path, BOTH + device(37) + device(38, "19200 8E1"), habits)

    live.search(plan(*FEW, settings={ASKED_AS_PLAIN: 0.5, FAST_EVEN: 0.5}))

    assert live.end.end is SearchEnd.ALL_ASKED, live.end.sentence
    assert live.found == {(37, ASKED_AS_PLAIN), (38, FAST_EVEN)}
    assert live.lost <= 1


@pytest.mark.parametrize("rest_s", [0.02, 0.07, 0.15])
def test_a_reply_at_another_setting_is_not_taken_for_the_next_request(tmp_path: Path, rest_s: float) -> None:
    """Its requests follow each other closely; at 8E1 its bytes are noticed only. None of them comes within ours."""
    live = LiveLine(tmp_path, BOTH + device(37), Habits((READ_11, READ_12, READ_11), rest_s=rest_s, round_s=2.0))

    live.search(plan(*range(30, 247), settings={SerialSettings.of(9600, "8E1"): 1.0}))

    exchanges = [one.exchange for one in live.line_events if isinstance(one, ExchangeDone)]
    assert live.end.end is SearchEnd.ALL_ASKED, live.end.sentence
    assert [one.outcome for one in exchanges if isinstance(one.outcome, CorruptReply | ShortReply | ForeignReply)] == []
    assert live.lost <= 1


def test_beside_the_shipped_client_no_byte_comes_within_ours_at_another_setting() -> None:
    """It asks twice, 0.1 s apart: 22 of our requests met its second one while its reply was taken for it."""
    search = SimulatedSearch("another-client")
    asked = SearchPlan(tuple(range(30, 247)), {SerialSettings.of(9600, "8E1"): 1.0}, may_probe_living_line=True)

    events = list(search.job(asked).run())

    outcomes = {type(one.exchange.outcome) for one in search.line_events if isinstance(one, ExchangeDone)}
    assert isinstance(events[-1], SearchEnded)
    assert events[-1].end is SearchEnd.ALL_ASKED
    assert outcomes == {NoReply}


def test_a_client_at_another_speed_is_understood_there(tmp_path: Path) -> None:
    """It talks at 19200 8E1: listening at 9600 hears bytes that make no frame."""
    text = device(11, "19200 8E1") + device(12, "19200 8E1") + device(37)
    live = LiveLine(tmp_path, text, Habits((READ_11, READ_12), round_s=2.0), FAST_EVEN)

    live.search(plan(*FEW))

    (goes,) = [one for one in live.events if isinstance(one, GoesBetween)]
    assert goes.cycle.settings == FAST_EVEN
    assert goes.cycle.requests == 2
    assert goes.cycle.round_s == pytest.approx(2.0, abs=0.1)
    assert live.found == {(37, ASKED_AS_PLAIN)}
    assert live.lost <= 1


def test_where_it_leaves_no_pause_nothing_is_asked_and_that_is_said(tmp_path: Path) -> None:
    live = LiveLine(tmp_path, WANTED, Habits((READ_11, READ_12), round_s=0.0, rest_s=0.05))

    live.search(plan(*FEW))

    assert live.sent == 0
    assert live.end.end is SearchEnd.OTHER_CLIENT
    assert [type(one) for one in live.events if isinstance(one, CycleLeavesNoRoom)] == [CycleLeavesNoRoom]
    assert live.end.sentence.startswith("the other client leaves no room: a request needs 0.")
    assert live.lost <= 1


def test_settings_whose_requests_do_not_fit_are_left_out_by_name(tmp_path: Path) -> None:
    """A request at 1200 baud with its reply takes 0.15 s on the wire alone."""
    slow = SerialSettings.of(1200, "8N2")
    live = LiveLine(tmp_path, WANTED, Habits((READ_11, READ_12), round_s=0.0, rest_s=0.34))

    live.search(plan(*FEW, settings={ASKED_AS_PLAIN: 0.9, slow: 0.1}))

    (goes,) = [one for one in live.events if isinstance(one, GoesBetween)]
    assert goes.left_out == (slow,)
    assert {one.exchange.settings for one in live.line_events if isinstance(one, ExchangeDone)} == {ASKED_AS_PLAIN}


def test_it_stops_where_a_device_drops_its_answer_to_the_client(tmp_path: Path) -> None:
    """11 goes silent a while after the search began, as a device does that our requests confuse: two losses stop it."""
    live = LiveLine(tmp_path, WANTED, Habits((READ_11, READ_12), round_s=1.0))
    gone_s = 60.0

    def pull() -> None:
        live.site.hands.unplug("d11")

    live.site.timeline.at(gone_s, pull)
    live.search(plan(*range(1, 200)))

    (suffers,) = [one for one in live.events if isinstance(one, OtherClientSuffers)]
    assert suffers.harm in (Harm.LOST, Harm.LATER)
    assert live.end.end is SearchEnd.OTHER_CLIENT
    assert "the other client's traffic suffers" in live.end.sentence
    assert live.end.sentence.endswith("what was found so far stands")
    assert live.clock.now_s() - gone_s < 10.0


def test_it_stops_where_the_client_falls_silent(tmp_path: Path) -> None:
    live = LiveLine(tmp_path, WANTED, Habits((READ_11, READ_12), round_s=1.0))

    def off() -> None:
        live.site.segment.plug("other client", is_in=False)

    live.site.timeline.at(60.0, off)
    live.search(plan(*range(1, 200)))

    (suffers,) = [one for one in live.events if isinstance(one, OtherClientSuffers)]
    assert suffers.harm is Harm.FELL_SILENT
    assert "its requests have stopped" in live.end.sentence


def test_without_leave_nothing_is_sent(tmp_path: Path) -> None:
    live = LiveLine(tmp_path, WANTED, Habits((READ_11, READ_12)))

    live.search(held(plan(*FEW)))

    assert (live.sent, live.end.end) == (0, SearchEnd.LIVING_LINE)


@pytest.mark.parametrize("client_settings", [PLAIN, FAST_EVEN], ids=["at our setting", "at another"])
def test_a_client_that_starts_in_mid_search_holds_it(tmp_path: Path, client_settings: SerialSettings) -> None:
    """It comes 5 s after the search has begun to ask; soon nothing more is asked, in one sentence."""
    at = str(client_settings)
    text = device(11, at) + device(12, at) + device(37)
    live = LiveLine(tmp_path, text, Habits((READ_11, READ_12), round_s=1.0), client_settings, is_on_from_s=15.0)

    live.search(held(plan(*range(1, 248))))

    (living,) = [one for one in live.events if isinstance(one, LivingLine)]
    assert living.verdict is Verdict.TRAFFIC
    assert living.sentence.startswith("another client has begun to ask on this line: nothing more is asked")
    assert live.end.end is SearchEnd.LIVING_LINE
    assert live.sent > 0
    assert live.clock.now_s() < 60.0
