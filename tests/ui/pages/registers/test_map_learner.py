"""The map learner on the page: nothing without a reason, forecast first, spans, going on, another client."""

from __future__ import annotations

from buswalk.bus.messages import StartLearning
from buswalk.domain.registers.map_learning.plan import (
    LearningBegan,
    LearningForecast,
    MapLearnt,
    MapProgress,
    forecast,
)
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.tables import Table
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted
from buswalk.ui.pages.registers.learn_desk import LearnForm
from buswalk.ui.wording import duration
from tests.fakes.registers_stage import told
from tests.fakes.told_line import USUAL, kept
from tests.ui.pages.registers.registers_bench import Page

WHOLE = Block(Table.HOLDING_REGISTERS, 0, 199)
LEFT = LearningForecast(2, 48, 3.0, 40.0)
WHY = LearnForm(why_safe="spare controller on the bench")
STARTED, ENDED = JobStarted(1, "learn", 12.0), JobEnded(1, "learn", JobEndKind.STOPPED, "", 13.0)


def learnt() -> MapLearnt:
    """Return what was learnt: two spans, one place that stayed unclear."""
    spans = (Block(Table.HOLDING_REGISTERS, 0, 13), Block(Table.HOLDING_REGISTERS, 100, 103))
    unclear = (Block(Table.HOLDING_REGISTERS, 150, 150),)
    return MapLearnt(11, USUAL, WHOLE, spans, unclear, 4, 55, 125, 0, False, 14.0)  # noqa: FBT003


def test_nothing_is_asked_without_a_reason_why_reading_is_safe() -> None:
    page = Page(told())

    page.presenter.bench.learn()

    assert page.commands.sent == []
    assert page.presenter.state.learn.told == "Say why reading harms nothing here first: it is kept in the record."
    assert "can clear counters" in page.presenter.state.learn.caution


def test_the_forecast_stands_before_the_first_read() -> None:
    """By the same figures as the command line: two long reads, or fifty refusals of four addresses."""
    page = Page(told())
    page.presenter.bench.change_map(WHY)
    page.presenter.bench.learn()
    (command,) = page.commands.of(StartLearning)
    expected = forecast((WHOLE,), command.plan)

    said = page.presenter.state.learn.forecast

    assert (expected.reads_if_readable, expected.reads_if_absent) == (2, 50)
    assert said.startswith(f"It takes 2 reads, {duration(expected.seconds_if_readable)}, if all can be read")


def test_the_plan_says_what_was_confirmed_and_how_closely() -> None:
    page = Page(told())
    page.presenter.bench.change_map(LearnForm(1, "10", "20", 0, "spare sensor"))

    page.presenter.bench.learn()

    (command,) = page.commands.of(StartLearning)
    plan = command.plan
    assert plan.blocks == (Block(Table.INPUT_REGISTERS, 10, 20),)
    assert (plan.confirmed, plan.shortest_span, plan.may_ask_living_line) == ("spare sensor", 1, False)
    assert not command.goes_on


def test_progress_stands_and_a_stopped_learning_goes_on() -> None:
    page = Page(told())
    page.presenter.bench.change_map(WHY)
    began = LearningBegan(11, USUAL, (WHOLE,), "spare", LEFT, 12.0)
    page.take(kept(STARTED, began, MapProgress(WHOLE, 25, 14, 100, LEFT, 12.5)))
    assert page.presenter.state.learn.told == "100 of 200 known, 14 can be read, 25 reads; 0:03 to 0:40 left, so far."

    page.take(kept(ENDED))
    assert page.presenter.state.learn.button == "Go on learning"
    page.presenter.bench.learn()

    assert page.commands.of(StartLearning)[-1].goes_on


def test_spans_are_listed_and_one_is_read_as_raw_addresses() -> None:
    page = Page([*told(), *kept(learnt())])

    rows = [[cell.words for cell in row] for row in page.presenter.state.learn.rows]
    page.presenter.bench.open_span(1)

    assert rows == [
        ["Holding registers 0 to 13", "14", "0x0000 to 0x000D", "can be read"],
        ["Holding registers 100 to 103", "4", "0x0064 to 0x0067", "can be read"],
        ["Holding registers 150", "1", "0x0096 to 0x0096", "neither read nor refused"],
    ]
    shown = [row[4].words for row in page.presenter.state.points.rows[1:]]
    assert shown == ["100 / 0x0064", "101 / 0x0065", "102 / 0x0066", "103 / 0x0067"]


def test_beside_another_client_it_must_be_ticked_first() -> None:
    page = Page(told())
    page.presenter.bench.change_map(WHY)
    page.presenter.bench.learn()

    page.take(kept(STARTED, LivingLine(Verdict.TRAFFIC, "something is sending"), ENDED))

    assert page.presenter.state.learn.has_living
    assert page.presenter.state.learn.told.startswith("Another client is alive: nothing was asked.")
    assert not page.presenter.has_question


def test_what_is_no_address_is_said() -> None:
    page = Page(told())

    page.presenter.bench.change_map(LearnForm(first="0x10", why_safe="x"))

    assert page.presenter.state.learn.forecast == "'0x10' is no address as sent: 0 to 65535."
