"""The pages of the window lead from one to another, and keep what is described."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

import pytest

from buswalk.board_parts import read_boards
from buswalk.bus.messages import Batch
from buswalk.domain.visit.session_events import PlanKept
from buswalk.ui.pages.find.find_page import FindPage
from buswalk.ui.pages.page import Page, PageName, ShellActions
from buswalk.ui.pages.plan.page import PlanPage
from buswalk.ui.pages.registers.page import RegistersPage
from buswalk.ui.pages.registers.registers_state import RegistersFace
from buswalk.ui.pages.switches.page import SwitchesPage
from buswalk.ui.sounds import Silence
from buswalk.window_pages import WindowPages
from tests.fakes.analysis_at_once import AnswersAtOnce
from tests.fakes.sent_commands import SentCommands
from tests.fakes.told_line import copper_opened, found, kept
from tests.test_plan_in_use import BAY_1, BAY_2

Wanted = TypeVar("Wanted")


class Opened:
    """All pages on a line where 11 answers as planned, and 56 in place of 14."""

    def __init__(self, folder: Path) -> None:
        window = WindowPages(AnswersAtOnce(()), Silence(), str(folder))
        self.went_to: list[PageName] = []
        pages = window.make(SentCommands(), ShellActions(self.went_to.append, lambda: None, lambda: None), Silence())
        items = [*copper_opened(), *kept(PlanKept((BAY_1, BAY_2), 0.0), found(11), found(56))]
        window.take(Batch(4.0, 1.0, is_walking=True, items=tuple(items)))
        for item in items:
            for page in pages:
                page.take(item)
        self.find = _one(pages, FindPage)
        self.plan = _one(pages, PlanPage)
        self.switches = _one(pages, SwitchesPage)
        self.registers = _one(pages, RegistersPage)


def _one(pages: Sequence[Page], kind: type[Wanted]) -> Wanted:
    return next(one for one in pages if isinstance(one, kind))


def test_f7_leads_from_a_row_of_the_plan_to_what_explains_it_and_back(tmp_path: Path) -> None:
    """Levers 2, 3, 4 of seven read from the other end: 32 + 16 + 8 = 56."""
    opened = Opened(tmp_path)
    opened.plan.presenter.choose(1)

    opened.plan.presenter.to_switches()
    shown = opened.switches.presenter.state
    opened.switches.presenter.to_device()

    assert (shown.explained.intended, shown.explained.found) == ("14", "56")
    assert shown.explained.mistakes[0].headline == "Board counts from the other end"
    assert shown.device_words == "To controller, bay 2"
    assert opened.went_to == [PageName.SWITCHES, PageName.PLAN]
    assert opened.plan.presenter.state.chosen == 1


def test_f7_leads_from_find_to_the_switches_and_back_to_find(tmp_path: Path) -> None:
    opened = Opened(tmp_path)
    opened.plan.presenter.to_switches()

    opened.find.to_switches()
    opened.switches.presenter.to_device()

    assert opened.went_to[-2:] == [PageName.SWITCHES, PageName.FIND]


@pytest.mark.parametrize("board", [one.name for one in read_boards().boards])
def test_a_described_board_is_kept_in_a_file_and_chosen_as_it_reads_back(tmp_path: Path, board: str) -> None:
    switches = Opened(tmp_path).switches.presenter
    switches.choose_board(board)
    switches.describing.open()
    switches.describing.change_base("3")
    switches.describing.write_name("pump house")

    switches.describing.keep()

    state = switches.state
    assert state.described is None
    assert state.told == "Kept as pump-house.toml; plans and commands call it pump-house."
    assert (state.boards[state.board].name, state.is_changed) == ("pump-house", False)
    assert len(list(tmp_path.rglob("pump-house.toml"))) == 1


def test_a_name_that_is_no_file_s_name_is_said_and_the_description_stays(tmp_path: Path) -> None:
    switches = Opened(tmp_path).switches.presenter
    switches.describing.open()
    switches.describing.write_name("pump/house")

    switches.describing.keep()

    assert switches.state.described is not None
    assert switches.state.described.trouble == ("Board name 'pump/house' cannot be: write letters, digits, - and _.")


def test_f2_leads_from_a_found_device_to_the_job_that_moves_it_and_f4_back(tmp_path: Path) -> None:
    opened = Opened(tmp_path)
    opened.find.search.focus_address(56)

    opened.find.to_move()
    state = opened.registers.presenter.state
    opened.registers.presenter.to_device()

    assert (state.face, state.other.move.device) == (RegistersFace.MOVE, "Device 56 at 9600 8N1.")
    assert opened.went_to == [PageName.REGISTERS, PageName.FIND]
