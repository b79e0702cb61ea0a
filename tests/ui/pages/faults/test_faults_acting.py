"""What the page does: marks, other records, the watch, reading a record that grows, handing over."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from buswalk.bus.messages import EditMark, MakeMark, StartWatch, TakeBackMark
from buswalk.bus.queries import ReadFaultCounts
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.statistics.fault_filter import FaultKind
from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.faults_state import SideFace
from buswalk.ui.pages.faults.filter_desk import KIND
from buswalk.ui.pages.faults.ways import FileKind
from buswalk.ui.tones import Tone
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.told_line import found, kept
from tests.ui.pages.faults.faults_stage import FaultsStage, Opened, write_record

# Marks


def test_a_mark_has_its_counts_inside_and_outside(opened: Opened) -> None:
    opened.presenter.choose_side(list(SideFace).index(SideFace.MARKS))
    opened.presenter.choose_mark(0)

    contrast = {one.caption: one.words for one in opened.state.marks.contrast}

    assert " of " in contrast["Not clean inside"]
    assert "Odds ratio" in contrast
    assert contrast["p"].endswith("chance alone can make this")
    assert opened.state.marks.form is not None
    assert (opened.state.marks.form.start, opened.state.marks.form.end) == ("09:41:10", "09:41:20")


def test_a_mark_is_changed_by_its_form(opened: Opened) -> None:
    opened.presenter.choose_side(1)
    opened.presenter.choose_mark(0)
    row = opened.presenter.marks.chosen
    assert row is not None

    opened.presenter.marks.keep("fan 2 on", "9:41:05", "")
    opened.presenter.marks.keep("fan 2 on", "09:41:05", "09:41:15")

    sent = [one for one in opened.stage.commands.sent if isinstance(one, EditMark)]
    assert [(one.mark, one.words, one.start_s) for one in sent] == [(row.row, "fan 2 on", 5.0)] * 2
    assert sent[-1].end == EndsAt(15.0)


@pytest.mark.parametrize(
    ("start", "end", "said"),
    [("morning", "", "is no time"), ("09:41:30", "09:41:20", "ends behind its start"), ("09:99", "", "is no time")],
)
def test_a_time_that_cannot_be_is_said_and_nothing_is_sent(opened: Opened, start: str, end: str, said: str) -> None:
    opened.presenter.choose_side(1)
    opened.presenter.choose_mark(0)

    opened.presenter.act_on_mark(lambda: opened.presenter.marks.keep("x", start, end))

    assert said in opened.state.marks.told
    assert opened.stage.commands.sent == []


def test_a_mark_back_in_time_and_one_taken_back(opened: Opened) -> None:
    opened.presenter.choose_side(1)
    opened.presenter.act_on_mark(opened.presenter.marks.new)
    opened.presenter.act_on_mark(lambda: opened.presenter.marks.keep("charger off", "09:41:03", ""))
    opened.presenter.choose_mark(0)
    opened.presenter.act_on_mark(opened.presenter.marks.take_back)

    made, back = opened.stage.commands.sent
    assert isinstance(made, MakeMark)
    assert made.words == "charger off"
    assert isinstance(back, TakeBackMark)


# Other records


def test_another_record_is_told_by_a_band_and_left_by_f5(opened: Opened, tmp_path: Path) -> None:
    other = tmp_path / "older.buswalk.sqlite"
    write_record(other, is_simulated=True, rounds=4)
    opened.stage.to_open = str(other)

    opened.presenter.choose_record()
    state = opened.state

    assert state.band is not None
    assert state.band.headline.startswith("Shown: older, 25 Nov 2025, 1 session")
    assert state.band.words.startswith("Recorded on a simulated line: no evidence.")
    assert state.sentence.startswith("12 asked")
    assert state.main.words == "Back to this visit"

    opened.presenter.main_action()

    assert opened.state.band is None
    assert opened.state.sentence.startswith("120 asked")
    assert opened.stage.commands.sent == []


def test_marks_of_another_record_are_not_changed(opened: Opened, tmp_path: Path) -> None:
    other = tmp_path / "older.buswalk.sqlite"
    write_record(other, rounds=4)
    opened.stage.to_open = str(other)
    opened.presenter.choose_record()
    opened.presenter.choose_side(1)
    opened.presenter.choose_mark(0)

    opened.presenter.act_on_mark(opened.presenter.marks.take_back)

    assert opened.stage.commands.sent == []
    assert opened.state.marks.refusal


@pytest.mark.parametrize("content", [b"", b"SQLite format 3\x00 but cut", b"name;address\n11;2\n"])
def test_a_file_that_is_no_record_is_one_sentence(opened: Opened, tmp_path: Path, content: bytes) -> None:
    other = tmp_path / "odd.buswalk.sqlite"
    other.write_bytes(content)
    opened.stage.to_open = str(other)

    opened.presenter.choose_record()
    state = opened.state

    assert state.band is not None
    assert state.band.tone is Tone.FAULT
    assert state.band.words.endswith(".")

    opened.presenter.main_action()

    assert opened.state.sentence.startswith("120 asked")


def test_a_record_without_exchanges_says_what_will_stand_here(tmp_path: Path) -> None:
    path = tmp_path / "new.buswalk.sqlite"
    write_record(path, rounds=0)
    stage = FaultsStage()
    stage.open_live(path, found(11))

    state = stage.presenter.state

    assert state.empty is not None
    assert state.empty.button == "Watch"


# The watch


def test_f5_watches_what_is_found_and_planned(opened: Opened) -> None:
    opened.stage.play(*kept(found(22)))

    opened.presenter.main_action()

    (started,) = opened.stage.commands.sent
    assert isinstance(started, StartWatch)
    assert [one.server_address for one in started.plan.devices] == [11, 22, 24]
    assert started.plan.period_s == 1.0
    assert not started.plan.may_ask_living_line


def test_f5_pauses_and_goes_on_without_listening_again(opened: Opened) -> None:
    opened.stage.play(*kept(JobStarted(3, "watch", 1.0)))
    assert opened.state.main.words == "Pause"

    opened.presenter.main_action()
    opened.stage.play(*kept(JobEnded(3, "watch", JobEndKind.STOPPED, "", 2.0)))

    assert opened.stage.commands.stops == 1
    assert opened.state.main.words == "Continue"
    opened.presenter.main_action()
    (started,) = opened.stage.commands.sent
    assert isinstance(started, StartWatch)
    assert started.plan.listen_s == 0.0


def test_another_job_is_not_disturbed(opened: Opened) -> None:
    opened.stage.play(*kept(JobStarted(3, "search", 1.0)))

    opened.presenter.main_action()

    assert opened.stage.commands.sent == []
    assert "search" in opened.state.main.refusal


def test_another_client_is_asked_about_twice_before_it_is_disturbed(opened: Opened) -> None:
    living = LivingLine(Verdict.TRAFFIC, "something is sending on this line; nothing was asked")
    opened.stage.play(*kept(JobStarted(3, "watch", 1.0), living, JobEnded(3, "watch", JobEndKind.FINISHED, "", 2.0)))

    band = opened.state.band
    assert band is not None
    assert band.tone is Tone.FOREIGN
    opened.presenter.pressed("ask")
    assert opened.stage.commands.sent == []
    opened.presenter.pressed("sure")

    (started,) = opened.stage.commands.sent
    assert isinstance(started, StartWatch)
    assert started.plan.may_ask_living_line


def test_f5_at_the_question_leaves_the_other_client_alone(opened: Opened) -> None:
    living = LivingLine(Verdict.TRAFFIC, "something is sending on this line; nothing was asked")
    opened.stage.play(*kept(JobStarted(3, "watch", 1.0), living, JobEnded(3, "watch", JobEndKind.FINISHED, "", 2.0)))
    opened.presenter.pressed("ask")

    opened.presenter.main_action()

    assert opened.stage.commands.sent == []
    assert opened.state.band is None


# Live


def test_a_live_record_is_read_once_a_second_and_only_when_something_came(opened: Opened) -> None:
    for _ in range(10):
        opened.presenter.tick(50.0)
    asked = len(opened.stage.ask.asked)
    for _ in range(30):
        opened.presenter.tick(50.0)
    assert len(opened.stage.ask.asked) == asked

    for second in range(3):
        opened.stage.play(*kept(ExchangeDone(ExchangeMaker().answered(22))))
        for tick in range(10):
            opened.presenter.tick(50.0 + second + tick / 10)

    rounds = [one for one in opened.stage.ask.asked[asked:] if isinstance(one, ReadFaultCounts)]
    assert len(rounds) == 3


def test_no_second_round_begins_while_one_waits_for_answers(opened: Opened) -> None:
    opened.stage.ask.holds = True
    opened.stage.play(*kept(ExchangeDone(ExchangeMaker().answered(22))))
    asked = len(opened.stage.ask.asked)

    for _ in range(50):
        opened.presenter.tick(60.0)

    assert len(opened.stage.ask.asked) == asked + 1


def test_answers_of_a_record_that_was_left_are_dropped(opened: Opened, tmp_path: Path) -> None:
    other = tmp_path / "older.buswalk.sqlite"
    write_record(other, rounds=4)
    opened.stage.to_open = str(other)
    opened.stage.ask.holds = True
    opened.presenter.choose_record()
    opened.presenter.show_live()
    opened.stage.ask.holds = False
    opened.stage.ask.let_go()

    assert opened.state.sentence.startswith("120 asked")


def test_exports_take_the_filter_with_them(opened: Opened) -> None:
    kinds = opened.state.filters[KIND].words
    opened.presenter.choose_filter(KIND, kinds.index("cut short"))

    opened.presenter.export()
    opened.presenter.print_sheet()

    assert [(one[0], one[1], one[2].kinds) for one in opened.stage.exports] == [
        (str(opened.path), FileKind.TABLES, frozenset({FaultKind.SHORT})),
        (str(opened.path), FileKind.PAGES, frozenset({FaultKind.SHORT})),
    ]


def test_the_rail_says_how_many_were_not_clean(opened: Opened) -> None:
    assert opened.presenter.state
    assert (opened.presenter.note.words, opened.presenter.note.shape) == ("52 not clean", OutcomeKind.DAMAGED)


def test_no_catalogue_number_is_ever_shown(opened: Opened) -> None:
    assert re.search(r"\bF[0-9]{2}\b", str(opened.state)) is None
