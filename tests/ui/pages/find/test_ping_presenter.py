"""What the view Ping says and does, by real streams of an engine that pings simulated devices."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import pytest

from buswalk.bus.messages import Kept, StartPing, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.ping import Pinged, PingPlan
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, MarkMade, MarkSource, PortFailed
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.ping_presenter import PingPresenter
from buswalk.ui.pages.find.ping_tones import PingTone, ToneQueue, tone_of_outcome
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.tones import Tone
from tests.bus.engine_bench import EngineBench
from tests.fakes.heard_tones import HeardTones
from tests.ui.pages.find.find_stage import (
    GREENHOUSE,
    GREENHOUSE_PLAN,
    PLAIN,
    FindStage,
    at_a_time,
    greenhouse_stream,
    opened_stream,
    until,
)

TIMES = 60


@lru_cache(maxsize=4)
def pinged_stream(address: int, a_second: float = 1.0) -> tuple[StreamItem, ...]:
    """Return the stream of an engine that pings one device of the greenhouse so often and is then stopped."""
    bench = EngineBench()
    left = [TIMES]

    def count(event: object) -> None:
        if isinstance(event, Pinged):
            left[0] -= 1
            if left[0] == 0:
                bench.engine.stop()

    bench.on_event = count
    plan = PingPlan(address, PLAIN, a_second=a_second, wait_s=0.3)
    return tuple(at_a_time(item) for item in bench.run(GREENHOUSE, StartPing(plan)))


class PingStage(FindStage):
    """Desk, board and presenter of Ping."""

    def __init__(self, problem: str = "") -> None:
        super().__init__()
        self.tones = HeardTones(problem)
        self.ping = PingPresenter(self.desk, self.search.board, self.tones)

    def play(self, stream: Sequence[StreamItem]) -> PingStage:
        """Take items in order, as the page does."""
        for item in stream:
            self.desk.take(item)
            self.search.take(item)
            self.ping.take(item)
        times = [item.at_s for item in stream if isinstance(item, Kept)]
        if times:
            self.ping.tick(times[-1])
        return self


def pinging(address: int, events: int = TIMES, a_second: float = 1.0) -> PingStage:
    """A stage whose ping has asked so often and goes on; its history is drawn at five a second."""
    stage = PingStage()
    stage.ping.show(address)
    stage.play(until(pinged_stream(address, a_second), Pinged, events))
    return stage


def test_before_the_start_it_says_what_it_is_for() -> None:
    stage = PingStage().play(opened_stream())

    state = stage.ping.state

    assert state.sentence.startswith("One device, asked again and again")
    assert state.main == Action(Act.START_PING, "Ping 11", "F5")
    assert (state.result.address, state.result.name, state.result.word) == ("11", "controller of bay 1", "not asked")
    assert state.result.about == "9600 no parity · planned here, place 1 on the cable"
    assert state.counts.rows == ()


def test_without_a_port_it_cannot_start_and_says_why() -> None:
    state = PingStage().ping.state

    assert state.main.refusal == "No port is open: open one with Ctrl+O."
    assert state.sentence == "No port is open: open one with Ctrl+O."
    assert state.ask.devices.words == ("1, not in plan",)


def test_a_silent_device_says_no_reply_and_how_long_was_waited() -> None:
    """24 has no supply on the first day."""
    state = pinging(24).ping.state

    assert state.result.kind is OutcomeKind.NO_REPLY
    assert state.result.word == "no reply"
    assert state.result.tone is Tone.DOUBT
    assert state.result.note.startswith("waited 301 ms · 09:15:59")
    assert state.result.note.endswith("no answer yet")
    assert state.sentence == "24: 0 of the last 60 answered."
    assert state.main == Action(Act.PAUSE, "Pause", "F5")


def test_an_answer_says_in_which_time_it_came() -> None:
    state = pinging(21).ping.state

    assert state.result.word == "answered"
    assert state.result.tone is Tone.INK
    assert " ms · 09:1" in state.result.note
    assert state.sentence == "21: 60 of the last 60 answered."


def test_counts_come_before_shares_and_shares_bring_their_limit() -> None:
    """60 of 60: 0.05 ** (1 / 60) = 0.951; none of 60: 1 - 0.951 = 0.0487, both to the unfavourable side."""
    silent, answering = pinging(24).ping.state.counts, pinging(21).ping.state.counts

    assert [(row.kind, row.count, row.share) for row in silent.rows] == [
        (OutcomeKind.NO_REPLY, "60 of 60", "over 95 %")
    ]
    assert silent.sentences == ()
    assert answering.sentences == ("All 60 were answered: unanswered ones are below 4.9 %.",)
    assert answering.title.startswith("Since 09:15:")
    assert answering.aside == "share, and up to how much it may be: exact, one-sided, 95 %"


def test_a_device_that_finds_the_speed_by_itself_misses_the_first_ones() -> None:
    """11 listens for the speed: its first three requests stay unanswered; 3 of 60 are up to 13 %."""
    counts = pinging(11).ping.state.counts

    assert [(row.kind.word, row.count, row.share) for row in counts.rows] == [
        ("answered", "57 of 60", "95 %"),
        ("no reply", "3 of 60", "5.0 %, up to 13 %"),
    ]


def test_a_mark_parts_the_counts() -> None:
    stage = pinging(24, 30)
    stage.play([Kept(0, MarkMade("terminal pressed", MarkSource.USER, 30.5), 30.5)])
    stage.play(until(pinged_stream(24), Pinged, 40)[len(until(pinged_stream(24), Pinged, 30)) :])

    state = stage.ping.state

    assert state.counts.sentences[0] == "Answered before mark 1, 'terminal pressed': 0 of 30; since then: 0 of 10."
    (mark,) = state.history.marks
    assert (mark.number, mark.words) == (1, "terminal pressed")
    assert 8 * 5 <= mark.back <= 10 * 5


def test_at_one_a_second_the_minute_is_one_row() -> None:
    stage = PingStage()
    stage.ping.show(24)
    stage.ping.choose_rate(2)

    history = stage.play(until(pinged_stream(24), Pinged, 60)).ping.state.history

    assert (history.rows, history.slots_a_row) == (1, 60)
    assert len(history.slots) == 60
    assert sorted({slot.back for slot in history.slots}) == list(range(60))
    assert history.counts == "asked 60: 60 no reply"


@pytest.mark.parametrize(("rate", "slots"), [(0, 100), (1, 50)])
def test_faster_a_row_holds_ten_seconds(rate: int, slots: int) -> None:
    stage = PingStage()
    stage.ping.choose_rate(rate)

    history = stage.ping.state.history

    assert (history.rows, history.slots_a_row) == (6, slots)
    assert history.row_heads == ("60 s ago", "50 s ago", "40 s ago", "30 s ago", "20 s ago", "10 s ago")


# Commands


def test_start_asks_one_register_at_the_planned_setting() -> None:
    stage = PingStage().play(opened_stream())
    stage.ping.show(31)

    stage.ping.main_action()

    assert stage.commands.sent == [StartPing(PingPlan(31, SerialSettings.of(19200, "8E1"), 3, 0, 5.0, 0.150))]


def test_a_found_device_is_asked_where_and_how_it_was_found() -> None:
    """23 answers function 04 only; 56 is in no plan."""
    stage = PingStage()
    stage.search.board.begin(GREENHOUSE_PLAN)
    stage.play(until(greenhouse_stream(), JobEnded))
    stage.ping.show(23)

    stage.ping.main_action()

    (command,) = stage.commands.of(StartPing)
    assert command.plan.function == 4
    assert command.plan.settings == SerialSettings.of(9600, "8N2")
    stage.ping.show(56)
    assert stage.ping.state.result.about == "4800 no parity · found, not in plan"


def test_a_slow_device_is_waited_for() -> None:
    """51, the heat meter, takes up to 900 ms."""
    stage = PingStage()
    stage.search.board.begin(GREENHOUSE_PLAN)
    stage.play(until(greenhouse_stream(), JobEnded))
    stage.ping.show(51)

    stage.ping.main_action()

    (command,) = stage.commands.of(StartPing)
    assert 0.6 < command.plan.wait_s <= 2.0
    assert "it has taken" in stage.ping.state.ask.wait


def test_silent_ones_are_offered_first_and_one_after_the_other() -> None:
    stage = PingStage()
    stage.search.board.begin(GREENHOUSE_PLAN)
    stage.play(until(greenhouse_stream(), JobEnded))

    state = stage.ping.state

    assert state.ask.devices.words[:3] == ("14, controller of bay 2", "24, air, bay 2 south", "45, soil probe")
    assert state.others == (Action(Act.PING, "Next silent one: 24", address=24),)


def test_choosing_while_it_runs_goes_on_with_what_was_chosen() -> None:
    stage = pinging(24, 5)

    stage.ping.choose_rate(0)
    stage.play([Kept(0, JobEnded(1, "ping", JobEndKind.STOPPED, "", 5.0), 5.0)])

    assert stage.commands.stops == 1
    (command,) = stage.commands.of(StartPing)
    assert (command.plan.a_second, command.plan.wait_s) == (10.0, 0.060)


def test_a_running_search_is_paused_first_and_that_is_said() -> None:
    stage = PingStage().play(opened_stream())
    stage.play([Kept(0, JobStarted(1, "search", 1.0), 1.0)])
    words = stage.ping.state.main.words

    stage.ping.main_action()
    stage.play([Kept(0, JobEnded(1, "search", JobEndKind.STOPPED, "", 2.0), 2.0)])

    assert words == "Pause the search, ping 11"
    assert stage.commands.stops == 1
    assert len(stage.commands.of(StartPing)) == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [("300", "300 leaves 1 to 247"), ("11, 12", "One device is asked"), ("x", "'x' is no address")],
)
def test_a_typed_address_is_one_address(text: str, words: str) -> None:
    stage = PingStage()

    stage.ping.type_address(text)

    assert stage.ping.state.sentence.startswith(words)
    assert stage.ping.state.sentence_tone is Tone.DOUBT


def test_a_typed_address_that_nobody_planned_can_be_asked() -> None:
    stage = PingStage().play(opened_stream())

    stage.ping.type_address("77")

    assert stage.ping.state.ask.devices.chosen == "77, not in plan"
    assert stage.ping.state.main.words == "Ping 77"


def test_another_setting_can_be_chosen() -> None:
    stage = PingStage().play(opened_stream())
    words = stage.ping.state.ask.settings.words

    stage.ping.choose_settings(words.index("4800 no parity"))
    stage.ping.main_action()

    (command,) = stage.commands.of(StartPing)
    assert command.plan.settings.baud_rate == 4800


def test_paused_it_goes_on_with_the_same_counts() -> None:
    stage = pinging(24, 5)
    stage.play([Kept(0, JobEnded(1, "ping", JobEndKind.STOPPED, "", 5.0), 5.0)])

    state = stage.ping.state

    assert state.sentence == "Paused. 24: 0 of the last 5 answered."
    assert state.main == Action(Act.START_PING, "Continue", "F5")


def test_without_a_port_what_was_seen_stays() -> None:
    stage = pinging(24, 5)
    stage.play([Kept(0, PortFailed("COM5", "gone", 6.0), 6.0)])
    stage.play([Kept(0, JobEnded(1, "ping", JobEndKind.PORT_LOST, "gone", 66.0), 66.0)])

    state = stage.ping.state

    assert state.main.refusal == "There is no port: see the band above."
    assert state.counts.rows[0].count == "5 of 5"


# Sound


def test_sound_is_off_until_it_is_wanted() -> None:
    stage = pinging(24, 5)

    assert stage.tones.heard == []
    assert not stage.ping.state.sound.is_wanted
    assert stage.ping.state.sound.note == "All that is heard is seen too."


@pytest.mark.parametrize(("address", "frequency_hz"), [(24, 440.0), (11, 880.0)])
def test_each_tick_has_one_tone_at_most(address: int, frequency_hz: float) -> None:
    stage = PingStage()
    stage.ping.show(address)
    stage.ping.want_sound(is_wanted=True)

    stage.play(until(pinged_stream(address), Pinged, 20))

    assert stage.tones.heard == [frequency_hz]


def test_damage_is_heard_twice_and_before_what_follows_it() -> None:
    tones = HeardTones()
    queue = ToneQueue(tones)
    queue.is_wanted = True

    queue.ask(PingTone.DAMAGED)
    queue.ask(PingTone.ANSWERED)
    queue.tick()
    queue.tick()
    queue.tick()

    assert tones.heard == [220.0, 220.0]


@pytest.mark.parametrize(
    ("kind", "tone"),
    [
        (OutcomeKind.ANSWERED, PingTone.ANSWERED),
        (OutcomeKind.REFUSED, PingTone.ANSWERED),
        (OutcomeKind.NO_REPLY, PingTone.NO_REPLY),
        (OutcomeKind.OWN_ECHO_ONLY, PingTone.NO_REPLY),
        (OutcomeKind.DAMAGED, PingTone.DAMAGED),
        (OutcomeKind.CUT_SHORT, PingTone.DAMAGED),
        (OutcomeKind.FOREIGN_REPLY, PingTone.DAMAGED),
    ],
)
def test_every_outcome_has_its_tone(kind: OutcomeKind, tone: PingTone) -> None:
    assert tone_of_outcome(kind) is tone


def test_a_computer_that_cannot_sound_says_so() -> None:
    stage = PingStage("this computer has no player for tones")

    assert stage.ping.state.sound.note == "This computer has no player for tones."
