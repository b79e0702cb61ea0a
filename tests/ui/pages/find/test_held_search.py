"""A search that another client holds, that gives up, or that loses its port."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.bus.messages import MakeMark, OpenPort, StartListening, StartSearch
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import (
    AmongOthers,
    ListenedFirst,
    LivingLine,
    SearchEnd,
    SearchPlan,
    Verdict,
)
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    JobStarted,
    PortFailed,
    PortReturned,
)
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.tones import Tone
from tests.bus.engine_bench import EngineBench
from tests.ui.pages.find.find_stage import (
    ASKED_AS_PLAIN,
    FEW,
    PLAIN,
    FindStage,
    asking,
    at_a_time,
    ended,
    found,
    greenhouse,
    listened_stream,
    living_stream,
    opened,
    opened_stream,
    until,
)

BEGINS_AFTER_A_MINUTE = """
name = "mid client"
story = "Another client is switched on after a minute, and asks every two seconds from then on."
seed = 5

[[device]]
name = "example"
address = 37
settings = "9600 8N1"

[[client]]
name = "building control"
settings = "9600 8N1"
requests = ["25 03 00 00 00 02", "25 03 00 04 00 02"]
period_s = 2.0
from_s = 60.0
"""
LONG_ENOUGH = SearchPlan(
    tuple(range(1, 248)),
    {ASKED_AS_PLAIN: 0.5, SerialSettings.of(19200, "8N2"): 0.3, SerialSettings.of(38400, "8N2"): 0.2},
)

# Another client


def another_client() -> FindStage:
    return FindStage().play(until(living_stream(), JobEnded))


def test_another_client_holds_the_search_and_the_safe_way_is_f5() -> None:
    stage = another_client()
    state = stage.search.state

    assert state.sentence == "Held: the line is not quiet. Nothing was sent."
    assert state.band is not None
    assert state.band.tone is Tone.FOREIGN
    assert state.band.headline == "Another client is alive on this line: it asks 1 address every 2 s"
    assert state.band.words == "10 requests heard. Nothing was sent by this laptop. The search waits for you."
    assert state.main == Action(Act.LISTEN_ON, "Listen on", "F5")

    stage.search.main_action()

    assert stage.commands.sent == [StartListening(600.0, PLAIN)]


def test_whom_it_asks_is_told_with_period_and_answers() -> None:
    """The scenario asks 25 03 00 00 00 02 and 25 03 00 04 00 02 every 2 s."""
    other = another_client().search.state.other_client

    assert other is not None
    assert [(row.asks, row.request, row.every, row.answered) for row in other.rows] == [
        ("37", "03 read holding registers, 0 to 1", "2 s", "5 of 5"),
        ("37", "03 read holding registers, 4 to 5", "2 s", "5 of 5"),
    ]
    assert other.search.refusal == "Tick first that the people here know."


def test_searching_in_its_pauses_needs_the_tick_and_leaves_a_mark() -> None:
    stage = another_client()
    stage.search.act(Action(Act.SEARCH_IN_PAUSES, "Search in its pauses", refusal="Tick first."))
    before = list(stage.commands.sent)
    stage.search.confirm(is_confirmed=True)
    other = stage.search.state.other_client
    assert other is not None

    stage.search.act(other.search)

    mark, search = stage.commands.sent
    assert before == []
    assert isinstance(mark, MakeMark)
    assert "the people here know" in mark.words
    assert isinstance(search, StartSearch)
    assert search.plan.may_probe_living_line


def test_one_round_is_shown_with_the_pause_that_may_be_used() -> None:
    """Two requests 0.1 s apart every 2 s: behind the second 1.8 s are left, and 0.1 s of them before the next."""
    other = another_client().search.state.other_client

    assert other is not None
    assert [one.words for one in other.one_round.boxes] == ["37", "37"]
    first, second = other.one_round.boxes
    assert (second.from_share - first.from_share) * 2.0 == pytest.approx(0.1, abs=0.01)
    assert other.one_round.free_from == second.to_share
    assert 1.6 < (other.one_round.free_to - other.one_round.free_from) * 2.0 <= 1.8
    assert other.one_round.free_words == "free: 1.7 s of every 2 s"
    assert other.search_words.startswith("Only in the free 1.7 s of every 2 s, 100 ms away from its requests")


def test_the_risk_is_told_in_devices_and_values() -> None:
    other = another_client().search.state.other_client

    assert other is not None
    headlines = [one.headline for one in other.risks]
    assert headlines[:2] == [
        "When its round changes, up to 2 requests may meet ours",
        "With a loss timer, 37 may fall back if not asked every 2 s",
    ]
    assert "such as 0 V, until it is asked again" in other.risks[1].words


def test_where_no_request_was_heard_whole_no_number_of_them_is_told() -> None:
    """It was listened to at another setting than the client's: that it talks is known, and no more."""
    stage = (
        opened()
        .searching(FEW)
        .keep(
            JobStarted(1, "search", 0.0),
            ListenedFirst(PLAIN, 10.0, Verdict.BABBLE, 40),
            LivingLine(Verdict.BABBLE, "not shown"),
            ended(SearchEnd.LIVING_LINE, "nothing was asked"),
            JobEnded(1, "search", JobEndKind.FINISHED, "", 10.0),
        )
    )

    other = stage.search.state.other_client
    assert other is not None
    assert other.risks[0].headline == "Any of its requests may meet ours"
    assert other.risks[0].words.endswith("None was heard whole, so its round is not known.")


def test_a_client_that_begins_in_mid_search_is_told_with_its_round(tmp_path: Path) -> None:
    """The search listens at the usual settings until it understands it; what was heard there is what the page tells."""
    path = tmp_path / "mid.toml"
    path.write_text(BEGINS_AFTER_A_MINUTE, encoding="utf-8")
    said = EngineBench().run(OpenPort(f"sim:{path}", PLAIN), StartSearch(LONG_ENOUGH))
    stream = tuple(at_a_time(item) for item in said)
    begun = len(until(stream, JobStarted)) - 1

    stage = FindStage().play(stream[:begun]).searching(LONG_ENOUGH).play(until(stream, JobEnded)[begun:])

    other, band = stage.search.state.other_client, stage.search.state.band
    assert other is not None
    assert band is not None
    assert band.headline == "Another client is alive on this line: it asks 1 address every 2 s"
    assert [(row.asks, row.every) for row in other.rows] == [("37", "2 s")] * 2
    assert other.one_round.words.startswith("2 exchanges in 2 s")
    stage.search.main_action()
    assert stage.commands.sent == [StartListening(600.0, ASKED_AS_PLAIN)]


def test_taking_the_line_over_is_a_question_first_and_is_kept_in_the_record() -> None:
    stage = another_client()
    other = stage.search.state.other_client
    assert other is not None
    stage.search.act(other.take_over[0])
    asked = stage.search.state.other_client
    assert asked is not None
    before = list(stage.commands.sent)

    stage.search.act(asked.take_over[1])

    mark, search = stage.commands.sent
    assert (other.question, [one.words for one in other.take_over]) == ("", ["Take the line over\u2026"])
    assert asked.question.startswith("Have its people switched it off, and do they watch the plant?")
    assert [one.words for one in asked.take_over] == ["Leave it alone", "Take the line over"]
    assert before == []
    assert isinstance(mark, MakeMark)
    assert mark.words.startswith("line taken over from another client")
    assert isinstance(search, StartSearch)
    assert search.plan.among_others is AmongOthers.TAKES_OVER


def test_leaving_it_alone_closes_the_question() -> None:
    stage = another_client()
    stage.search.act(Action(Act.TAKE_OVER, "Take the line over"))
    stage.search.act(Action(Act.LEAVE_IT, "Leave it alone"))

    other = stage.search.state.other_client
    assert other is not None
    assert (other.question, stage.commands.sent) == ("", [])


def test_a_client_that_comes_in_mid_search_holds_it_and_nothing_is_asked_twice_afterwards() -> None:
    stage = asking(LivingLine(Verdict.TRAFFIC, "not shown"), ended(SearchEnd.LIVING_LINE, "another client came"))
    stage.keep(JobEnded(1, "search", JobEndKind.FINISHED, "", 5.0))
    state = stage.search.state
    stage.search.confirm(is_confirmed=True)
    other = stage.search.state.other_client
    assert other is not None
    stage.search.act(other.search)

    assert state.sentence == "Held: another client has begun to ask. 1 request of ours had been sent; now nothing is."
    assert state.band is not None
    assert "It began while this search ran: 1 request of ours had been sent" in state.band.words
    search = stage.commands.sent[-1]
    assert isinstance(search, StartSearch)
    assert search.goes_on
    assert search.plan.among_others is AmongOthers.IN_PAUSES


def test_a_search_that_stops_for_the_client_says_what_was_measured() -> None:
    stage = asking()

    words = "stopped, as the other client's traffic suffers: 2 of its last 20 requests were not answered"
    stage.keep(ended(SearchEnd.OTHER_CLIENT, words), JobEnded(1, "search", JobEndKind.FINISHED, "", 5.0))

    state = stage.search.state
    assert state.sentence == f"{words[:1].upper()}{words[1:]}."
    assert "Ask when it may be off" in [one.headline for one in state.steps.steps]


def test_the_next_search_asks_for_the_tick_anew() -> None:
    stage = another_client()
    stage.search.confirm(is_confirmed=True)
    other = stage.search.state.other_client
    assert other is not None
    stage.search.act(other.search)
    stage.keep(JobStarted(2, "search", 0.0), ended())
    stage.keep(JobEnded(2, "search", JobEndKind.FINISHED, "", 1.0))

    stage.search.main_action()

    last = stage.commands.sent[-1]
    assert isinstance(last, StartSearch)
    assert not last.plan.may_probe_living_line


@pytest.mark.parametrize(
    ("verdict", "tone", "headline"),
    [
        (Verdict.BABBLE, Tone.FOREIGN, "Somebody talks on this line, at another speed or in another protocol"),
        (Verdict.HELD, Tone.DOUBT, "The line is held at space: a pair swapped, or a driver stuck"),
    ],
)
def test_what_else_keeps_a_search_from_beginning(verdict: Verdict, tone: Tone, headline: str) -> None:
    stage = (
        opened()
        .searching(FEW)
        .keep(
            JobStarted(1, "search", 0.0),
            ListenedFirst(PLAIN, 10.0, verdict, 12),
            LivingLine(verdict, "not shown"),
            ended(SearchEnd.LIVING_LINE, "nothing was asked"),
            JobEnded(1, "search", JobEndKind.FINISHED, "", 10.0),
        )
    )

    band = stage.search.state.band
    assert band is not None
    assert (band.tone, band.headline) == (tone, headline)


def test_a_search_that_gives_up_says_why() -> None:
    stage = opened().searching(FEW).keep(JobStarted(1, "search", 0.0))

    stage.keep(ended(SearchEnd.NEVER_QUIET, "the line chatters without end"))
    stage.keep(JobEnded(1, "search", JobEndKind.FINISHED, "", 1.0))

    assert stage.search.state.sentence == "Given up: the line chatters without end."


def test_listening_alone_says_what_it_has_shown() -> None:
    stage = opened()

    stage.search.act(stage.search.state.others[0])
    stage.play(until(listened_stream(), JobEnded)[len(opened_stream()) :])

    assert stage.search.state.sentence == "Listened for 10 s at 9600 8N1: no client with a period under 10 s."
    assert stage.search.state.main.words == "Search"


# The port


def test_a_port_that_goes_while_searching_is_waited_for() -> None:
    """What happened and what to do stands in the band, which is the shell's."""
    stage = asking(found(11), PortFailed("COM5", "COM5 was unplugged", 8.0))

    state = stage.search.state

    assert state.sentence == "Waiting for the port. 1 answers so far: 1 as planned."
    assert state.main == Action(Act.PAUSE, "Pause", "F5")
    assert [row.address for row in state.found.rows] == [11]


def test_a_port_that_is_back_is_said_with_how_long_it_was_away() -> None:
    stage = asking(PortFailed("COM5", "gone", 8.0))

    stage.keep(PortReturned("COM5", 41.0, 49.0))

    assert stage.search.state.sentence.endswith("The port is back after 0:41.")


def test_a_port_that_stays_away_leaves_the_search_to_be_continued() -> None:
    stage = asking(found(11), PortFailed("COM5", "gone", 8.0))
    stage.keep(JobEnded(1, "search", JobEndKind.PORT_LOST, "gone", 68.0))
    away = stage.search.state

    stage.keep(PortReturned("COM5", 90.0, 98.0))

    assert away.sentence == "There is no port. 1 answers so far: 1 as planned."
    assert away.main.refusal == "There is no port: see the band above."
    assert stage.search.state.main == Action(Act.CONTINUE, "Continue", "F5")
    assert stage.search.state.sentence.startswith("Ended early. 1 answers so far")


def test_opening_a_port_is_asked_of_the_shell() -> None:
    stage = FindStage()

    stage.search.main_action()

    assert stage.ports_asked == 1


def test_another_session_begins_with_a_clean_page() -> None:
    stage = greenhouse()

    stage.play(opened_stream()[:1])

    assert stage.search.state.found.rows == ()
    assert stage.search.state.addresses.states[56] is AddressState.NOT_ASKED
