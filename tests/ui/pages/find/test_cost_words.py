"""What a search costs, its forecast before and during, what is added to it, and what it says of the line meanwhile."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Kept, StartSearch
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.listening.client_cycle import CycleHeard
from buswalk.domain.modbus.outcome import NoReply
from buswalk.domain.search.events import (
    AdapterHearsItself,
    Depth,
    GoesBetween,
    LineChatters,
    PassBegan,
    SearchForecast,
    SearchProgress,
)
from buswalk.domain.search.plan_cost import CostRates, PlanCost
from buswalk.domain.search.thorough import Pass
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    JobStarted,
    PortOpened,
)
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.shell.head_presenter import HeadPresenter
from buswalk.ui.wording import duration
from tests.ui.pages.find.find_stage import (
    FEW,
    PLAIN,
    asking,
    ended,
    found,
    greenhouse_stream,
    opened,
    opened_stream,
)


def test_before_the_start_the_cost_and_four_stops_of_the_forecast_are_there() -> None:
    """The stops count from the start: 10 s of listening are in them."""
    side = opened().search.state.side

    assert (side.figures, side.note, side.share_done) == ((), "", None)
    assert side.forecast is not None
    assert side.forecast.lines == ("6\u202f638 requests", "10 s listening first")
    assert [(one.words, one.time) for one in side.forecast.stops] == [
        ("50 % found", "0:11"),
        ("80 %", "0:16"),
        ("90 %", "0:26"),
        ("all asked", "8:22"),
    ]
    assert not any(one.is_past for one in side.forecast.stops)
    assert side.forecast.now_s is None


def test_on_a_lead_nothing_is_listened_to_and_short_times_have_a_decimal() -> None:
    stage = opened()

    stage.search.choose_line_is(1)

    told = stage.search.state.side.forecast
    assert told is not None
    assert told.lines[1] == "no listening first"
    assert told.stops[0].time == "1.1 s"


def test_a_thorough_search_shows_its_own_cost_before_it_starts_and_its_own_progress() -> None:
    """13 settings as they are asked, 247 addresses, 3 functions, in 3 passes (2 at some speeds) and one paused."""
    stage = opened()
    quick = stage.search.state.side

    stage.search.choose_depth(1)
    told = stage.search.state.side.forecast

    assert stage.search.state.known.depth.chosen == "thorough"
    assert told is not None
    assert int(told.lines[0].removesuffix(" requests").replace("\u202f", "")) > 3 * 13 * 247 * 3
    stage.search.choose_depth(0)
    assert stage.search.state.side == quick


def test_while_it_asks_the_stops_stand_and_now_moves_past_them() -> None:
    """A forecast of the stream, told again 200 requests later: nothing was learnt, so the stops stay."""
    first = SearchForecast(asked=0, half_s=20.0, most_s=60.0, nearly_all_s=140.0, whole_s=300.0)
    later = SearchForecast(asked=200, half_s=90.0, most_s=100.0, nearly_all_s=190.0, whole_s=270.0)
    stage = asking().keep(first, at_s=10.0).keep(later, at_s=40.0)

    stage.search.tick(75.0)

    told = stage.search.state.side.forecast
    assert told is not None
    assert [(one.time, one.is_past) for one in told.stops] == [
        ("0:30", True),
        ("1:10", True),
        ("2:30", False),
        ("5:10", False),
    ]
    assert (told.title, told.now_s, told.lines[1]) == ("So far 1:15", 75.0, "about 3:55 left")


def test_what_is_found_moves_the_stops() -> None:
    """The order of what is left is another one then: the next forecast is what stands."""
    first = SearchForecast(asked=0, half_s=20.0, most_s=60.0, nearly_all_s=140.0, whole_s=300.0)
    later = SearchForecast(asked=200, half_s=90.0, most_s=100.0, nearly_all_s=190.0, whole_s=270.0)
    stage = asking().keep(first, at_s=10.0).keep(found(11), at_s=20.0).keep(later, at_s=40.0)

    told = stage.search.state.side.forecast

    assert told is not None
    assert [one.time for one in told.stops] == ["2:10", "2:20", "3:50", "5:10"]


def test_between_the_cycles_of_another_client_all_takes_longer_by_the_clock() -> None:
    """Half of its time can be used, so what is left takes twice as long."""
    cycle = CycleHeard(PLAIN, 2, 2.0, 1.2, 0.5)
    first = SearchForecast(asked=0, half_s=20.0, most_s=60.0, nearly_all_s=140.0, whole_s=300.0)
    stage = asking().keep(GoesBetween(cycle, ())).keep(first, at_s=10.0)

    told = stage.search.state.side.forecast

    assert told is not None
    assert [one.time for one in told.stops] == ["0:50", "2:10", "4:50", "10:10"]


def test_page_and_head_line_say_the_same_time_left_between_the_cycles_of_another_client() -> None:
    """A quarter of its time can be used: 100 s of asking take 400 s, of which 10 s have passed since that was told."""
    heard: tuple[object, ...] = (
        GoesBetween(CycleHeard(PLAIN, 2, 2.0, 0.4, 0.25), ()),
        SearchForecast(asked=0, half_s=20.0, most_s=60.0, nearly_all_s=80.0, whole_s=110.0),
    )
    told = SearchProgress(20, 220, PLAIN, 100.0)
    head = HeadPresenter()

    stage = asking().keep(*heard, at_s=10.0).keep(told, at_s=60.0)
    for event, at_s in ((JobStarted(1, "search", 0.0), 0.0), *((one, 10.0) for one in heard), (told, 60.0)):
        head.take(Kept(0, event, at_s))
    stage.search.tick(70.0)
    head.tick(70.0)

    forecast = stage.search.state.side.forecast
    assert forecast is not None
    assert forecast.lines[1] == "about 6:30 left"
    assert forecast.stops[-1].time == "7:40"
    assert head.state.job.time_words == "6:30 left of 7:40"


def test_what_was_added_after_the_end_is_asked_alone() -> None:
    """The same speed was asked: only what is new costs, and nothing is asked twice."""
    stage = opened()
    stage.search.choose_speed(4)
    stage.search.main_action()
    stage.keep(JobStarted(1, "search", 0.0), found(11), ended())
    stage.keep(JobEnded(1, "search", JobEndKind.FINISHED, "", 300.0), at_s=300.0)
    before = stage.search.state

    stage.search.choose_speed(0)
    added = stage.search.state
    stage.search.main_action()

    assert before.main == Action(Act.SEARCH, "Search again", "F5")
    assert before.side.figures[0].caption == "Took"
    assert added.main == Action(Act.CONTINUE, "Search what is added", "F5")
    assert [one.words for one in added.others] == ["Export", "Search all again"]
    assert added.side.forecast is not None
    assert int(added.side.forecast.lines[0].removesuffix(" requests").replace("\u202f", "")) < 6_638
    command = stage.commands.sent[-1]
    assert isinstance(command, StartSearch)
    assert command.goes_on
    assert [one.address for one in stage.search.state.found.rows] == [11]


def test_a_line_that_chatters_is_said_while_it_goes_on() -> None:
    stage = asking(LineChatters(PLAIN, 31.5, 6))
    band, steps = stage.search.state.band, stage.search.state.steps

    silent = [
        one
        for one in greenhouse_stream()
        if isinstance(one, Kept)
        and isinstance(one.event, ExchangeDone)
        and isinstance(one.event.exchange.outcome, NoReply)
    ]
    stage.play(silent[:1])

    assert band is not None
    assert band.headline == "The line chatters: bytes that are no reply follow every request"
    assert band.words.startswith("So behind each of 6 requests in 32 s. It goes on with short waits")
    assert "Find out who sends" in [one.headline for one in steps.steps]
    assert stage.search.state.band is None


def test_an_adapter_that_hears_itself_is_said() -> None:
    steps = asking(AdapterHearsItself(PLAIN)).search.state.steps.steps

    assert "This adapter hears itself" in [one.headline for one in steps]


def test_each_pass_of_a_thorough_search_is_named_and_explained() -> None:
    for of_pass in Pass:
        state = asking(PassBegan(9600, of_pass)).search.state

        assert state.addresses.title.startswith("Addresses 1 – 247, asked at ")
        assert state.addresses.title.split(" now, ")[1]
        assert state.steps.steps[0].headline.endswith("at 9600 baud")


def test_a_thorough_search_of_what_is_in_use_begins_with_one_button() -> None:
    stage = opened()
    stage.search.choose_speed(4)
    stage.search.main_action()
    stage.keep(JobStarted(1, "search", 0.0), found(11), ended())
    stage.keep(JobEnded(1, "search", JobEndKind.FINISHED, "", 300.0), at_s=300.0)
    (traits,) = [one.event for one in opened_stream() if isinstance(one, Kept) and isinstance(one.event, PortOpened)]
    step = stage.search.state.steps.steps[-1]
    assert step.action is not None

    stage.search.act(step.action)

    command = stage.commands.sent[-1]
    assert isinstance(command, StartSearch)
    assert command.plan.depth is Depth.THOROUGH
    assert {one.baud_rate for one in command.plan.settings} == {9600}
    rates = CostRates.of(traits.traits)
    assert (
        step.headline == f"Try next: thorough at 9600 baud, {duration(PlanCost(command.plan, rates).whole().seconds)}"
    )


def test_while_it_learns_another_client_s_cycle_it_says_so_and_counts_nothing_down() -> None:
    """10 s of listening are over, and nothing has been asked yet."""
    plan = replace(FEW, listen_s=10.0, may_probe_living_line=True)
    stage = opened().searching(plan).keep(JobStarted(1, "search", 0.0))

    stage.search.tick(38.0)

    state = stage.search.state
    assert state.sentence.startswith("Listening to the other client. Nothing is sent until its cycle is known")
    assert [one.caption for one in state.side.figures] == ["So far"]
