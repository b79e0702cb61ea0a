"""What to do next where a stranger may be a silent planned device: its switches, once the search is over."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.search.events import Found
from buswalk.domain.visit.session_events import JobEnded, JobStarted
from buswalk.ui.look import Look
from buswalk.ui.pages.find.explained_stranger import ExplainedStranger, with_switches_step
from buswalk.ui.pages.find.find_page import FindPage, FindParts
from buswalk.ui.pages.find.find_view import FindView
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.pages.page import Narrow, ShellActions
from buswalk.ui.palettes import DARK, LIGHT, Colours
from tests.fakes.heard_tones import HeardTones
from tests.fakes.sent_commands import SentCommands
from tests.fakes.shown_widgets import cut, unnamed
from tests.ui.pages.find.find_on_screen import BIG, SMALL, USUAL
from tests.ui.pages.find.find_stage import GREENHOUSE_PLAN, FindStage, greenhouse, greenhouse_stream, until

BAY_2 = ExplainedStranger("controller of bay 2", 14, 56)


def headlines(stage: FindStage, explained: ExplainedStranger | None, in_hand: int = 0) -> list[str]:
    shown = with_switches_step(stage.search.state.steps, stage.search.board, in_hand, lambda: explained)
    return [one.headline for one in shown.steps]


def test_after_the_search_the_switches_come_first() -> None:
    """14, 24 and 45 of the greenhouse are silent on the first day, and 56 answers unplanned."""
    stage = greenhouse(JobEnded)

    shown = with_switches_step(stage.search.state.steps, stage.search.board, 0, lambda: BAY_2)

    first = shown.steps[0]
    assert first.headline == "56 may be controller of bay 2, planned at 14"
    assert first.words == "A mistake in setting its switches leads there; see which."
    assert first.action == Action(Act.SWITCHES, "Show switches", "F7", address=56)
    assert shown.steps[1].headline == "14, 24 and 45 are silent at every setting that was asked"
    assert len(shown.steps) == 3


@pytest.mark.parametrize(("in_hand", "key"), [(0, "F7"), (14, "F7"), (56, "F7"), (11, "")])
def test_the_key_is_named_where_it_leads_to_the_same_device(in_hand: int, key: str) -> None:
    stage = greenhouse(JobEnded)

    shown = with_switches_step(stage.search.state.steps, stage.search.board, in_hand, lambda: BAY_2)

    assert shown.steps[0].action == Action(Act.SWITCHES, "Show switches", key, address=56)


def test_nothing_is_said_while_the_search_runs_or_where_nothing_explains() -> None:
    running, ended = greenhouse(Found, 2), greenhouse(JobEnded)

    assert headlines(running, BAY_2) == [one.headline for one in running.search.state.steps.steps]
    assert headlines(ended, None) == [one.headline for one in ended.search.state.steps.steps]
    assert headlines(ended, ExplainedStranger("fan", 31, 56)) == headlines(ended, None)


def test_while_the_search_runs_nobody_is_asked_for_it() -> None:
    asked: list[int] = []
    stage = greenhouse(ExchangeDone, 5)

    def explained() -> ExplainedStranger | None:
        asked.append(1)
        return BAY_2

    with_switches_step(stage.search.state.steps, stage.search.board, 0, explained)

    assert asked == []


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("room", [BIG, USUAL, SMALL])
def test_its_button_leads_there_and_nothing_is_cut(qtbot: QtBot, room: tuple[int, int], colours: Colours) -> None:
    led_to: list[int] = []
    actions = ShellActions(lambda _name: None, lambda: None, lambda: None)
    parts = FindParts(
        SentCommands(),
        actions,
        HeardTones(),
        lambda _name, _text: "",
        show_switches=led_to.append,
        explained=lambda: BAY_2,
    )
    page = FindPage(parts)
    stream, before = until(greenhouse_stream(), JobEnded), len(until(greenhouse_stream(), JobStarted)) - 1
    for place, item in enumerate(stream):
        if place == before:
            page.search.board.begin(GREENHOUSE_PLAN)
        page.take(item)
    view = page.view(Look(colours), Narrow.YES if room == SMALL else Narrow.NO).widget()
    assert isinstance(view, FindView)
    qtbot.addWidget(view)
    view.resize(*room)
    view.show()
    qtbot.waitExposed(view)
    for _ in range(3):
        view.refresh()
        QApplication.processEvents()
    button = next(one for one in view.search.steps.findChildren(type(view.main)) if one.words == "Show switches")

    QTest.mouseClick(button, Qt.MouseButton.LeftButton)

    assert led_to == [56]
    assert cut(view) == []
    assert unnamed(view) == []
