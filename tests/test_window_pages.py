"""What the pages of the window are handed: rows that a slow window missed are read back from the record."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

import pytest

from buswalk.board_parts import read_boards
from buswalk.bus.messages import Batch, Kept, RecordTold, Skipped, StreamItem
from buswalk.bus.queries import Calculation, Query, ReadEvents
from buswalk.domain.line_events import StrayArrival
from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import MarkMade, MarkSource, PlanKept
from buswalk.storage.point_list_files import read_point_list_file
from buswalk.ui.pages.find.explained_stranger import ExplainedStranger
from buswalk.ui.pages.find.find_page import FindPage
from buswalk.ui.pages.page import Page, PageName, ShellActions
from buswalk.ui.pages.plan.page import PlanPage
from buswalk.ui.pages.switches.page import SwitchesPage
from buswalk.ui.sounds import Silence
from buswalk.window_pages import WindowPages, write_points
from tests.fakes.every_event import STRAY
from tests.fakes.sent_commands import SentCommands
from tests.fakes.told_line import USUAL, copper_opened, found, kept

Wanted = TypeVar("Wanted")
TOLD = RecordTold(RecordState("visit", "folder/visit.buswalk.sqlite", 10, is_simulated=False))
MARK = MarkMade("fan on", MarkSource.USER, 3.0)


class AnswersAtOnce:
    """An analysis process that answers in the same moment."""

    def __init__(self, rows: tuple[RecordedEvent, ...]) -> None:
        self.asked: list[tuple[str, Query]] = []
        self._rows = rows

    def ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        self.asked.append((path, query))
        take(self._rows)

    def calculate(
        self, calculation: Calculation, take: Callable[[object], None], refused: Callable[[str], None]
    ) -> None:
        take(calculation.result())


def batch(*items: StreamItem) -> Batch:
    return Batch(4.0, 1.0, is_walking=True, items=items)


def test_findings_that_were_skipped_are_read_back_and_traffic_is_not() -> None:
    rows = (RecordedEvent(7, 1, StrayArrival(STRAY), 2.0), RecordedEvent(8, 1, MARK, 3.0))
    analysis = AnswersAtOnce(rows)
    pages = WindowPages(analysis, Silence())
    offered: list[Batch] = []

    pages.take(batch(TOLD))
    pages.read_back(batch(Skipped(7, 2)), offered.append)

    assert analysis.asked == [("folder/visit.buswalk.sqlite", ReadEvents(7, 2))]
    assert [item for one in offered for item in one.items] == [Kept(8, MARK, 3.0)]


def test_where_nothing_is_recorded_nothing_is_read_back() -> None:
    analysis = AnswersAtOnce(())
    pages = WindowPages(analysis, Silence())

    pages.read_back(batch(Skipped(7, 2)), lambda _batch: None)

    assert analysis.asked == []


BAY_1 = PlannedDevice(1, 11, "controller, bay 1", USUAL, "levers-7-line-end", "bay 1")
BAY_2 = PlannedDevice(2, 14, "controller, bay 2", USUAL, "levers-7-line-end", "bay 2")


class Opened:
    """All pages on a line where 11 answers as planned, and 56 in place of 14."""

    def __init__(self, folder: Path) -> None:
        self.window = window = WindowPages(AnswersAtOnce(()), Silence(), str(folder))
        self.went_to: list[PageName] = []
        pages = window.make(SentCommands(), ShellActions(self.went_to.append, lambda: None, lambda: None), Silence())
        items = [*copper_opened(), *kept(PlanKept((BAY_1, BAY_2), 0.0), found(11), found(56))]
        window.take(batch(*items))
        for item in items:
            for page in pages:
                page.take(item)
        self.find = _one(pages, FindPage)
        self.plan = _one(pages, PlanPage)
        self.switches = _one(pages, SwitchesPage)


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


def test_find_offers_the_switches_that_explain_a_stranger(tmp_path: Path) -> None:
    opened = Opened(tmp_path)

    explained = opened.window.explained()

    assert explained == ExplainedStranger("controller, bay 2", 14, 56)


def test_what_answers_next_is_looked_at_anew(tmp_path: Path) -> None:
    opened = Opened(tmp_path)
    opened.window.explained()

    opened.window.take(batch(*kept(found(14))))

    assert opened.window.explained() is None


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


@pytest.mark.parametrize(("chosen", "written"), [("p", "p.csv"), ("p.csv", "p.csv"), ("p.xlsx", "p.xlsx")])
def test_points_are_exported_as_the_ending_says_and_never_over_a_file(
    tmp_path: Path, chosen: str, written: str
) -> None:
    """A second export to the same name is refused, and the first stays as it was."""
    assert write_points(str(tmp_path / chosen), [("name", "address"), ("Flow", "40003")]) == f"saved as {written}"
    before = (tmp_path / written).read_bytes()

    said = write_points(str(tmp_path / chosen), [("name", "address"), ("Flow", "2")])

    assert "saved" not in said
    assert written in said
    assert (tmp_path / written).read_bytes() == before
    assert read_point_list_file(tmp_path / written).rows[1].cells == ("Flow", "40003")
