"""What the view Search says and does, by real streams of an engine on simulated lines and by single events."""

from __future__ import annotations

from buswalk.bus.messages import StartSearch
from buswalk.domain.search.events import (
    Doubt,
    Found,
    Unclear,
)
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    JobStarted,
    PlanKept,
)
from buswalk.ui.pages.find.search_state import Act, Action
from tests.ui.pages.find.find_stage import (
    ASKED_AS_PLAIN,
    FEW,
    PLAIN,
    FindStage,
    asking,
    ended,
    found,
    greenhouse,
    opened,
)

# Sentences


def test_without_a_port_it_says_how_to_open_one() -> None:
    stage = FindStage()

    assert stage.search.state.sentence == "No port is open. What is found here needs one: open it with Ctrl+O."
    assert stage.search.state.main == Action(Act.CHOOSE_PORT, "Open a port…", "F5")


def test_before_the_start_it_says_what_it_does_and_what_it_does_not() -> None:
    state = opened().search.state

    assert state.sentence == "Every device on the pair, wherever it hides. Reads only."
    assert state.main == Action(Act.SEARCH, "Search", "F5")
    assert [one.words for one in state.others] == ["Listen only"]
    assert [one.headline for one in state.steps.steps] == [
        "10 s of listening come first",
        "Only reads are sent",
        "A device with a loss timer may fall back",
    ]


def test_while_it_listens_nothing_is_sent_and_that_is_said() -> None:
    stage = greenhouse(JobStarted)

    stage.search.tick(4.0)

    assert stage.search.state.sentence.startswith("Listening first. Nothing is sent")
    assert stage.search.state.side.figures[1].value == "6 s more"


def test_while_it_asks_the_numbers_say_so_far() -> None:
    state = greenhouse(Found, 4).search.state

    assert state.sentence == "4 answer so far: 3 as planned, 1 not in plan."
    assert state.main == Action(Act.PAUSE, "Pause", "F5")
    assert state.known.is_fixed


def test_at_the_end_the_sentence_names_numbers_first() -> None:
    """The site's file: 11 planned; 14, 24, 45 are at no place where they are planned; 1 and 56 are not in the plan."""
    state = greenhouse().search.state

    assert (
        state.sentence
        == "10 answer: 7 as planned, 1 at another setting than planned, 2 not in plan. 3 planned are silent."
    )
    assert state.main == Action(Act.SEARCH, "Search again", "F5")
    assert [one.words for one in state.others] == ["Export"]


def test_what_was_exported_while_it_ran_does_not_hide_how_it_ended() -> None:
    stage = asking(found(11))
    stage.search.act(Action(Act.EXPORT, "Export", "Ctrl+E"))
    while_running = stage.search.state.sentence

    stage.keep(ended(), JobEnded(1, "search", JobEndKind.FINISHED, "", 1.0))

    assert while_running == "Saved as found devices.csv."
    assert stage.search.state.sentence.startswith("1 answers")


def test_nobody_at_all_is_said_as_such() -> None:
    stage = opened().searching(FEW).keep(JobStarted(1, "search", 0.0), ended())

    stage.keep(JobEnded(1, "search", JobEndKind.FINISHED, "", 1.0))

    assert stage.search.state.sentence.startswith("Nobody answers.")
    assert stage.search.state.found.empty_headline == "Nobody answers"


def test_one_device_without_a_plan_is_counted_in_the_singular() -> None:
    stage = asking(PlanKept((), 0.0), found(11))

    assert stage.search.state.sentence == "1 answers so far."


def test_doubt_comes_before_plan_in_the_numbers() -> None:
    stage = asking(found(11), found(12, Doubt.SECOND_ANSWER))

    stage.keep(Unclear(13, ASKED_AS_PLAIN, "bytes come that make no frame", (5,)))

    assert stage.search.state.sentence == "3 answer so far: 1 as planned, 2 in doubt."


def test_a_device_at_another_setting_than_planned_is_not_as_planned() -> None:
    plan = (PlannedDevice(1, 11, "fan", settings=PLAIN.of(19200, "8E1")),)

    state = asking(PlanKept(plan, 0.0), found(11)).search.state

    assert state.sentence == "1 answers so far: 1 at another setting than planned."
    assert state.found.rows[0].doubt == "other setting"
    assert state.found.rows[0].planned_at == "19200 8E1"


# Commands


def test_search_sends_the_plan_of_what_is_known() -> None:
    stage = opened()
    stage.search.choose_speed(4)
    stage.search.choose_framing(1)

    stage.search.main_action()

    (command,) = stage.commands.sent
    assert isinstance(command, StartSearch)
    assert not command.goes_on
    assert list(command.plan.settings) == [ASKED_AS_PLAIN]
    assert 14 in command.plan.planned


def test_pause_stops_and_continue_goes_on_without_listening_again() -> None:
    stage = greenhouse(Found, 4)
    stage.search.main_action()
    stage.keep(JobEnded(1, "search", JobEndKind.STOPPED, "stopped by the user", 20.0), at_s=20.0)
    paused = stage.search.state

    stage.search.main_action()

    assert stage.commands.stops == 1
    assert paused.sentence == "Paused. 4 answer so far: 3 as planned, 1 not in plan."
    assert paused.main == Action(Act.CONTINUE, "Continue", "F5")
    assert [one.words for one in paused.others] == ["Export", "Search anew"]
    (command,) = stage.commands.sent
    assert isinstance(command, StartSearch)
    assert command.goes_on
    assert command.plan.listen_s == 0.0
    assert [one.address for one in stage.search.state.found.rows] == [one.address for one in paused.found.rows]


def test_after_a_long_pause_it_listens_again() -> None:
    stage = greenhouse(Found, 4)
    stage.keep(JobEnded(1, "search", JobEndKind.STOPPED, "stopped by the user", 20.0), at_s=20.0)
    stage.search.tick(200.0)

    stage.search.main_action()

    (command,) = stage.commands.sent
    assert isinstance(command, StartSearch)
    assert command.plan.listen_s == 10.0


def test_another_job_is_stopped_first_and_the_search_follows() -> None:
    stage = opened().keep(JobStarted(1, "ping", 0.0))
    words = stage.search.state.main.words

    stage.search.main_action()
    before = list(stage.commands.sent)
    while_waiting = stage.search.state.main
    stage.keep(JobEnded(1, "ping", JobEndKind.STOPPED, "", 1.0))

    assert words == "Stop the ping, search"
    assert (before, stage.commands.stops) == ([], 1)
    assert while_waiting.refusal == "The running job is being stopped first."
    assert isinstance(stage.commands.sent[0], StartSearch)


def test_a_search_anew_forgets_what_it_asks_again_and_keeps_the_rest() -> None:
    stage = opened().searching(FEW).keep(JobStarted(1, "search", 0.0), found(11), found(99))
    stage.keep(JobEnded(1, "search", JobEndKind.STOPPED, "", 1.0))
    stage.search.choose_addresses(len(stage.search.state.known.addresses.words) - 1)
    stage.search.type_addresses("11 to 13")

    stage.search.act(Action(Act.SEARCH_ANEW, "Search anew"))

    assert [row.address for row in stage.search.state.found.rows] == [99]


# Typing addresses


def test_other_addresses_are_typed_and_stay() -> None:
    stage = opened()
    stage.search.choose_addresses(2)
    typing = stage.search.state.known

    stage.search.type_addresses("14, 56")

    assert typing.is_typing
    assert stage.search.state.known.addresses.chosen == "14, 56"
    assert not stage.search.state.known.is_typing
    told = stage.search.state.side.forecast
    assert told is not None
    assert told.lines[0] == "58 requests"


def test_wrong_addresses_are_named_and_stay_to_be_mended() -> None:
    stage = opened()
    stage.search.choose_addresses(2)

    stage.search.type_addresses("14, 300")

    state = stage.search.state
    assert state.sentence == "300 leaves 1 to 247: no device has another address."
    assert state.known.typed == "14, 300"
    assert state.known.is_typing
