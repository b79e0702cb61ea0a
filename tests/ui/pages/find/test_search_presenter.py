"""What the view Search says and does, by real streams of an engine on simulated lines and by single events."""

from __future__ import annotations

import csv
import io

import pytest

from buswalk.bus.messages import MakeMark, StartListening, StartSearch
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.search.events import (
    AnswersEverywhere,
    Doubt,
    Found,
    FramingNotCarried,
    Identity,
    ListenedFirst,
    LivingLine,
    SearchEnd,
    SearchEnded,
    SearchPlan,
    SettingsNotCarried,
    Unclear,
    Verdict,
)
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    JobStarted,
    PlanKept,
    PortFailed,
    PortReturned,
)
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.tones import Tone
from tests.ui.pages.find.find_stage import (
    ASKED_AS_PLAIN,
    GREENHOUSE_PLAN,
    PLAIN,
    FindStage,
    greenhouse_stream,
    listened_stream,
    living_stream,
    opened_stream,
    until,
)

NO_IDENTITY = Identity()
FEW = SearchPlan(addresses=(11, 12, 13), settings={ASKED_AS_PLAIN: 1.0}, listen_s=0.0)


def opened() -> FindStage:
    """A stage with an open port, nothing asked."""
    return FindStage().play(opened_stream())


def greenhouse(kind: type[object] = JobEnded, count: int = 1) -> FindStage:
    """A stage that has seen the search of the greenhouse up to an event."""
    return (
        FindStage()
        .play(until(greenhouse_stream(), JobStarted)[:-1])
        .searching(GREENHOUSE_PLAN)
        .play(until(greenhouse_stream(), kind, count)[len(until(greenhouse_stream(), JobStarted)) - 1 :])
    )


def found(address: int, *doubts: Doubt, function: int = 3, identity: Identity = NO_IDENTITY) -> Found:
    return Found(
        address,
        ASKED_AS_PLAIN,
        function,
        is_refusal=False,
        answered=2,
        confirmations=2,
        doubts=doubts,
        identity=identity,
        exchange_numbers=(1, 2),
    )


def asking(*events: object) -> FindStage:
    """A stage whose search has asked its first request already."""
    first = until(greenhouse_stream(), ExchangeDone)[-1]
    stage = opened().searching(FEW).keep(JobStarted(1, "search", 0.0)).play([first])
    return stage.keep(*events)


def ended(end: SearchEnd = SearchEnd.ALL_ASKED, sentence: str = "all was asked") -> SearchEnded:
    return SearchEnded(end, 6, 0, 1.0, sentence)


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


def test_before_the_start_the_cost_is_there() -> None:
    side = opened().search.state.side

    assert [(one.caption, one.value) for one in side.figures] == [
        ("Time here, about", "8:40"),
        ("Requests", "6\u202f916"),
    ]
    assert side.note == "10 s of listening, then 60 ms wait for each. What answers is asked a little more."
    assert side.share_done is None


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

    assert state.sentence == "10 answer: 8 as planned, 2 not in plan. 3 planned are silent."
    assert state.main == Action(Act.SEARCH, "Search again", "F5")
    assert [one.words for one in state.others] == ["Export"]


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
    assert stage.search.state.side.figures[1].value == "56"


def test_wrong_addresses_are_named_and_stay_to_be_mended() -> None:
    stage = opened()
    stage.search.choose_addresses(2)

    stage.search.type_addresses("14, 300")

    state = stage.search.state
    assert state.sentence == "300 leaves 1 to 247: no device has another address."
    assert state.known.typed == "14, 300"
    assert state.known.is_typing


# Addresses


def test_addresses_stand_as_they_are_known() -> None:
    """Beside those of the plan of the search two unlikely ones were asked, to see whether all answer."""
    addresses = greenhouse().search.state.addresses

    assert addresses.states[11] is AddressState.ANSWERED
    assert addresses.states[56] is AddressState.NOT_IN_PLAN
    assert addresses.states[24] is AddressState.PLANNED_SILENT
    assert addresses.states[90] is AddressState.SILENT
    assert addresses.states[150] is AddressState.NOT_ASKED
    assert addresses.states[0] is addresses.states[248] is AddressState.NO_DEVICE_ADDRESS
    assert [one.words for one in addresses.legend] == [
        "answered 8",
        "not in plan 2",
        "in doubt 0",
        "planned but silent 3",
        "silent 32",
        "planned, to ask 0",
        "not asked 202",
    ]


def test_planned_ones_are_to_ask_until_the_search_is_through() -> None:
    addresses = greenhouse(Found, 3).search.state.addresses

    assert addresses.states[24] is AddressState.TO_ASK
    assert addresses.asked_now is not None
    assert addresses.title == "Addresses 1 – 247, asked at 9600 no parity now"


def test_the_focused_address_is_explained() -> None:
    stage = greenhouse()
    at_first = stage.search.state.addresses.readout
    words = {}
    for address in (56, 24, 90, 150, 0, 249):
        stage.search.focus_address(address)
        words[address] = stage.search.state.addresses.readout

    assert at_first == "Arrow keys walk the picture; the focused address is explained here."
    assert words[56] == "56: Answers at 9600 no parity, not in plan, confirmed 2 of 2."
    assert words[24] == "24: air, bay 2 south. Silent at 4 settings."
    assert words[90] == "90: Silent at 4 settings."
    assert words[150] == "150: Not asked yet."
    assert words[0] == "0: no address of a device. Requests to all go there."
    assert words[249] == "249: no address of a device. 248 and up are reserved."


def test_a_cell_is_spoken_with_its_setting() -> None:
    stage = greenhouse()

    assert stage.search.spoken_address(56) == "56, answered at 9600 no parity, not in plan"
    assert stage.search.spoken_address(24) == "24, planned but silent"


# Settings


def test_the_matrix_says_what_was_asked_and_found() -> None:
    settings = greenhouse().search.state.settings

    rows = {row.speed: row.cells for row in settings.rows}
    assert settings.heads == ("8N1 and 8N2", "8E1", "8O1")
    assert [cell.words for cell in rows["9600"]] == ["6 found", "1 found", "left out"]
    assert rows["4800"][0].words == "1 found"
    assert rows["19200"][1].words == "2 found"
    assert rows["9600"][0].spoken == "9600, 8N1 and 8N2, all asked, 6 found"


def test_the_setting_being_asked_has_its_share() -> None:
    settings = greenhouse(ExchangeDone, 30).search.state.settings

    now = [cell for row in settings.rows for cell in row.cells if cell.is_asked_now]
    assert len(now) == 1
    assert now[0].words.split(" ")[1] == "%"
    assert now[0].share_asked is not None
    assert 0.0 < now[0].share_asked < 1.0


def test_before_the_start_nothing_is_asked_yet() -> None:
    settings = opened().search.state.settings

    rows = {row.speed: [cell.words for cell in row.cells] for row in settings.rows}
    assert rows["9600"] == ["not asked"] * 3
    assert rows["115200"] == ["not asked", "left out", "left out"]


# Found devices


def test_found_devices_stand_with_setting_turnaround_and_name() -> None:
    rows = {row.address: row for row in greenhouse().search.state.found.rows}

    assert list(rows) == [1, 11, 21, 22, 23, 31, 32, 41, 51, 56]
    assert rows[21].what == "air, bay 1 north"
    assert rows[21].setting == "9600 no parity"
    assert rows[21].doubt == "no doubt"
    assert rows[23].doubt == "function 04 only"
    assert rows[31].doubt == "needs a pause"
    assert rows[31].doubt_tone is Tone.INK2
    assert rows[1].what == "not identified"
    assert rows[56].doubt == "not in plan"
    assert rows[56].doubt_tone is Tone.DOUBT
    assert rows[56].what.startswith("Example Controls")
    assert rows[51].turnaround.endswith(" ms")
    assert 300 < float(rows[51].turnaround.removesuffix(" ms")) < 1000


def test_the_list_goes_out_as_csv() -> None:
    stage = greenhouse()

    stage.search.act(Action(Act.EXPORT, "Export", "Ctrl+E"))

    ((name, text),) = stage.saved
    rows = list(csv.DictReader(io.StringIO(text)))
    assert name == "found devices"
    assert len(rows) == 10
    assert (rows[0]["address"], rows[0]["baud"], rows[0]["framing"]) == ("1", "4800", "no parity")
    assert rows[9]["plan"] == "not in plan"
    assert text.count("\r\n") == 11
    assert stage.search.state.sentence == "Saved as found devices.csv."


def test_text_of_a_device_is_no_formula_in_a_spreadsheet() -> None:
    identity = Identity(server_id=b"=HYPERLINK(1)")
    stage = opened().keep(JobStarted(1, "search", 0.0), found(11, identity=identity))

    stage.search.act(Action(Act.EXPORT, "Export", "Ctrl+E"))

    assert "'=HYPERLINK(1)" in stage.saved[0][1]


# What to do next


def test_silent_ones_and_doubts_come_with_a_button() -> None:
    stage = greenhouse()
    steps = stage.search.state.steps.steps

    assert steps[0].headline == "14, 24 and 45 are silent at every setting that was asked"
    assert steps[0].action == Action(Act.PING, "Ping 14", address=14)
    assert steps[-1].headline == "What a search like this does not find"

    stage.search.act(steps[0].action)

    assert stage.pinged == [14]


@pytest.mark.parametrize(
    ("event", "headline"),
    [
        (SettingsNotCarried(PLAIN), "Nobody follows the speed of this port"),
        (FramingNotCarried((PLAIN,)), "This port carries no framing"),
    ],
)
def test_what_a_port_does_not_carry_is_said(event: object, headline: str) -> None:
    stage = opened().searching(FEW).keep(JobStarted(1, "search", 0.0), event)

    assert headline in [one.headline for one in stage.search.state.steps.steps]


def test_who_answers_everywhere_is_one_finding() -> None:
    stage = opened().searching(FEW)

    stage.keep(JobStarted(1, "search", 0.0), AnswersEverywhere(ASKED_AS_PLAIN, (11, 173, 211, 94), 5, 0))

    band = stage.search.state.band
    assert band is not None
    assert band.headline == "Something answers at every address at 9600 no parity"
    assert (
        band.words == "11, 94, 173 and 211 were tried. One device or program that ignores the address, not 247 devices."
    )


def test_a_gateway_that_refuses_everywhere_is_named() -> None:
    stage = opened().keep(JobStarted(1, "search", 0.0), AnswersEverywhere(ASKED_AS_PLAIN, (11, 173), 5, 0x0B))

    band = stage.search.state.band
    assert band is not None
    assert band.headline == "A gateway refuses at every address at 9600 no parity"


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
