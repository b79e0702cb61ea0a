"""What the view Who is quiet says and does, by real streams of an engine while hands act on the greenhouse."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from buswalk.bus.messages import Hand, Kept, StartPresence, StreamItem, UseHand
from buswalk.domain.presence.events import PresenceBase, PresenceRound, WentQuiet
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, PlanKept
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.quiet_presenter import QuietPresenter
from buswalk.ui.pages.find.search_state import Act, Action
from tests.bus.engine_bench import EngineBench
from tests.fakes.heard_tones import HeardTones
from tests.ui.pages.find.find_stage import (
    GREENHOUSE,
    GREENHOUSE_PLAN,
    FindStage,
    at_a_time,
    greenhouse_stream,
    living_stream,
    opened_stream,
    until,
)

OPENED_AT = "fan, bay 2"
"""Place 8 of the greenhouse: 41, 45 and 51 hang behind it, and 45 is silent on the first day."""


class QuietStage(FindStage):
    """Desk, board and presenter of Who is quiet."""

    def __init__(self, problem: str = "") -> None:
        super().__init__()
        self.tones = HeardTones(problem)
        self.quiet = QuietPresenter(self.desk, self.search.board, self.tones, self._save)

    def play(self, stream: Sequence[StreamItem]) -> QuietStage:
        """Take items in order, as the page does."""
        for item in stream:
            self.desk.take(item)
            self.search.take(item)
            self.quiet.take(item)
        times = [item.at_s for item in stream if isinstance(item, Kept)]
        if times:
            self.quiet.tick(times[-1])
        return self


@lru_cache(maxsize=1)
def quiet_stream() -> tuple[StreamItem, ...]:
    """Return the stream of a watch in which the cable is opened in the middle, and joined again."""
    stage = QuietStage().play(greenhouse_found())
    stage.quiet.main_action()
    start = stage.commands.sent[-1]
    assert isinstance(start, StartPresence)
    bench = EngineBench()

    def act(event: object) -> None:
        match event:
            case PresenceRound(number=2):
                bench.meanwhile(UseHand(Hand.OPEN_CABLE, OPENED_AT))
            case PresenceRound(number=8):
                bench.meanwhile(UseHand(Hand.JOIN_CABLE, OPENED_AT))
            case PresenceRound(number=12):
                bench.engine.stop()
            case _:
                pass

    bench.on_event = act
    return tuple(at_a_time(item) for item in bench.run(GREENHOUSE, start))


@lru_cache(maxsize=1)
def greenhouse_found() -> tuple[StreamItem, ...]:
    """Return the stream of the greenhouse after a search."""
    return until(greenhouse_stream(), JobEnded)


def watching(kind: type[object], count: int = 1) -> QuietStage:
    """A stage after a search whose watch has come so far."""
    stage = QuietStage().play(until(greenhouse_stream(), JobStarted)[:-1])
    stage.search.board.begin(GREENHOUSE_PLAN)
    stage.play(greenhouse_found()[len(until(greenhouse_stream(), JobStarted)) - 1 :])
    begun = len(until(quiet_stream(), PlanKept))
    stage.play(until(quiet_stream(), kind, count)[begun:])
    return stage


def test_without_a_port_or_anybody_known_it_says_what_is_missing() -> None:
    stage = QuietStage()
    no_port = stage.quiet.state.main.refusal
    stage.keep(
        *[item.event for item in opened_stream() if isinstance(item, Kept) and not isinstance(item.event, PlanKept)]
    )

    assert no_port == "No port is open: open one with Ctrl+O."
    assert stage.quiet.state.main.refusal == "Nobody is known yet: search first, or write the planned list."
    assert stage.quiet.state.cable is None


def test_planned_ones_are_asked_along_the_cable_and_found_ones_as_they_were_found() -> None:
    """56 and 1 answer without being planned; 14, 24 and 45 are planned and silent."""
    stage = QuietStage().play(greenhouse_found())

    stage.quiet.main_action()

    (start,) = stage.commands.sent
    assert isinstance(start, StartPresence)
    asked = [one.server_address for one in start.plan.devices]
    by_address = {one.server_address: one for one in start.plan.devices}
    assert asked == [11, 14, 21, 22, 23, 24, 31, 32, 41, 45, 51, 1, 56]
    assert by_address[56].settings.baud_rate == 4800
    assert by_address[23].request.function_code == 4
    assert start.plan.listen_s == 0.0


def test_without_a_search_it_listens_first() -> None:
    stage = QuietStage().play(opened_stream())

    stage.quiet.main_action()

    (start,) = stage.commands.sent
    assert isinstance(start, StartPresence)
    assert start.plan.listen_s == 10.0


def test_while_another_client_holds_the_search_nobody_is_asked() -> None:
    stage = QuietStage().play(until(living_stream(), JobEnded))

    assert stage.quiet.state.main.refusal == "Another client is alive: see Search."


def test_the_base_is_told_with_those_that_are_silent_already() -> None:
    state = watching(PresenceRound, 2).quiet.state

    assert state.sentence.startswith("10 answer, as at the beginning; a round takes ")
    assert (state.names.instead, state.names.instead_kind) == ("10 answer", OutcomeKind.ANSWERED)
    assert "Silent from the beginning, and asked now and then: 14, 24, 45." in state.names.below
    assert state.main == Action(Act.ASK_IN_TURN, "Base is now", "F5")
    assert [one.address for one in state.answering][:3] == [11, 21, 22]
    assert all(one.last.endswith(" ms") for one in state.answering)


def test_who_hangs_behind_the_opened_place_is_named_together_with_where_to_look() -> None:
    state = watching(PresenceRound, 6).quiet.state

    assert [(one.address, one.name) for one in state.names.names][:2] == [(41, "weather station"), (51, "heat meter")]
    assert state.names.title.startswith("Went quiet together at 09:")
    assert state.names.aside.endswith(" ago")
    assert (
        state.sentence
        == f"{len(state.names.names)} of 10 went quiet in one round. {10 - len(state.names.names)} still answer."
    )
    assert state.cable is not None
    assert state.cable.words == "Both lie behind 32. Look between 32 and 41: an open core, a plug, a supply."
    assert state.cable.places[state.cable.cut_before].address == 41
    assert [one.spoken for one in state.cable.places][-1] == "51, heat meter, quiet"
    words = [one.words for one in state.changes]
    assert words[0] == f"{10 - len(state.names.names)} answer, {len(state.names.names)} quiet"
    assert any(one.startswith("41, 51") and one.endswith(" quiet") for one in words)
    assert any("the cable is open behind fan, bay 2" in one for one in words)
    assert words[-1] == "base: 10 answer"


def test_who_is_back_is_told_with_its_time() -> None:
    stage = watching(JobEnded)
    state = stage.quiet.state

    assert state.names.names == ()
    assert any(one.words == "41, 1 answer again" for one in state.changes)
    assert any(one.words == "51 answers again" for one in state.changes)
    assert state.sentence.startswith("Stopped. 10 answer, as at the beginning")
    assert state.main.words == "Ask all in turn"


def test_base_is_now_begins_again_and_keeps_what_was_seen() -> None:
    """Those quiet now are silent from the beginning then."""
    stage = watching(PresenceRound, 6)
    changes = len(stage.quiet.state.changes)

    stage.quiet.main_action()
    stage.keep(JobEnded(1, "who is quiet", JobEndKind.STOPPED, "", 60.0))
    stage.keep(JobStarted(2, "who is quiet", 60.0), PresenceBase((11, 21), (41, 51), 62.0))

    assert isinstance(stage.commands.sent[-1], StartPresence)
    assert stage.quiet.state.names.names == ()
    assert "41, 51" in stage.quiet.state.names.below
    assert len(stage.quiet.state.changes) == changes + 1


def test_tones_are_off_until_they_are_wanted_and_each_is_seen_too() -> None:
    stage = watching(PresenceRound, 2)
    gone = until(quiet_stream(), WentQuiet)[-1]
    stage.play([gone])
    silent = list(stage.tones.heard)
    stage.quiet.want_sound(is_wanted=True)

    stage.play([gone])

    assert silent == []
    assert stage.tones.heard == [440.0]
    assert stage.quiet.state.names.names


def test_eight_and_more_are_told_in_rows_none_of_which_is_cut() -> None:
    stage = watching(PresenceRound, 2)
    base = stage.quiet.board.base
    assert base is not None

    plain = stage.quiet.devices()[0].settings
    stage.keep(*[WentQuiet(one, plain, 50.0, 52.0) for one in base.answering])

    state = stage.quiet.state
    assert len(state.names.names) == 10
    assert [one.words for one in state.changes if one.kind is OutcomeKind.NO_REPLY] == [
        "11, 21, 22, 23 quiet",
        "31, 32, 41, 51 quiet",
        "1, 56 quiet",
    ]
    assert state.cable is not None
    assert state.cable.words.startswith("Nobody answers any more")


def test_what_changed_can_be_exported() -> None:
    stage = watching(JobEnded)

    stage.quiet.export()

    ((name, text),) = stage.saved
    assert name == "who is quiet"
    assert text.splitlines()[0] == "time,what"
    assert "base: 10 answer" in text.splitlines()[1]
