"""Times that are typed on the page, refusals by their code, and marks that are moments."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.visit.session_events import JobStarted, MarkMade, MarkSource, SessionStarted
from buswalk.storage.visit_record.recorder import open_visit_record
from buswalk.ui.pages.faults.faults_state import SideFace
from buswalk.ui.pages.faults.filter_desk import MARK, TIME
from tests.fakes.command_in_process import ran
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.told_line import WALL_TIME
from tests.ui.pages.faults.faults_stage import FaultsStage, Opened
from tests.ui.pages.faults.test_faults_view import opened as opened_window

TYPED = "from … to …"


def asked(opened: Opened) -> int:
    return int(opened.state.sentence.split()[0]) if opened.state.sentence[0].isdigit() else 0


def test_typed_times_are_looked_between(opened: Opened) -> None:
    """The record begins at 09:41:00; the same two times on the command line count the same."""
    opened.presenter.choose_filter(TIME, opened.state.filters[TIME].words.index(TYPED))
    assert opened.state.typed_times is not None
    whole = asked(opened)

    opened.presenter.type_times("09:41:05", "09:41:10")

    ended = ran("faults", str(opened.path), "--from", "09:41:05", "--to", "09:41:10", "--json")
    counted = sum(one["asked"] for one in ended.events if one["event"] == "device_faults")
    assert 0 < asked(opened) == counted < whole
    assert opened.state.filters[TIME].words[opened.state.filters[TIME].chosen] == "09:41:05 to 09:41:10"


@pytest.mark.parametrize(
    ("start", "end", "said"), [("noon", "", "'noon' is no time"), ("2030-01-01", "", "No session")]
)
def test_what_is_no_time_is_said_and_what_was_looked_at_stays(opened: Opened, start: str, end: str, said: str) -> None:
    opened.presenter.choose_filter(TIME, opened.state.filters[TIME].words.index(TYPED))
    opened.presenter.type_times("09:41:05", "")
    before = asked(opened)

    opened.presenter.type_times(start, end)

    typed = opened.state.typed_times
    assert typed is not None
    assert typed.told.startswith(said)
    assert asked(opened) == before


def test_page_and_command_leave_searches_out_alike(opened: Opened) -> None:
    def counted(*options: str) -> int:
        events = ran("faults", str(opened.path), "--json", *options).events
        return sum(one["asked"] for one in events if one["event"] == "device_faults")

    assert asked(opened) == counted() == opened.injected.asked
    assert counted("--searches") == opened.injected.asked + 3
    assert opened.presenter.reading.wanted == FaultFilter(but_jobs=frozenset(["search"]))


def test_refusals_are_told_by_their_code(tmp_path: Path) -> None:
    path = tmp_path / "visit.buswalk.sqlite"
    maker = ExchangeMaker()
    with closing(open_visit_record(path, is_simulated=False)) as recorder:
        recorder.begin(SessionStarted(WALL_TIME, 1.0, is_simulated=False, program="buswalk test"))
        recorder.keep(JobStarted(1, "watch", 0.0), 0.0)
        for one in (*(maker.refused(22) for _ in range(3)), maker.refused(22, 0x0B)):
            recorder.keep(ExchangeDone(one), one.ended_s)
        for _ in range(400):
            clean = maker.answered(22)
            recorder.keep(ExchangeDone(clean), clean.ended_s)
        recorder.keep(MarkMade("fan on", MarkSource.HAND, 1.0), 2.0)
    stage = FaultsStage()
    stage.open_live(path)

    lines = {one.caption: one.words for one in stage.presenter.state.figures.lines}
    told = ran("faults", str(path)).out

    words = "3 with 02 (illegal data address), 1 with 0B (gateway target failed to respond)"
    assert lines["Refused"] == words
    assert f"22: refused {words}" in told
    assert [one.words for one in stage.presenter.state.filters[MARK : MARK + 1]] == [("any mark",)]
    stage.presenter.choose_side(list(SideFace).index(SideFace.MARKS))
    stage.presenter.choose_mark(0)
    assert stage.presenter.state.marks.rows[0][2].words == "a moment"
    assert stage.presenter.state.marks.contrast[0].words.startswith("nothing: it is a moment")


def test_the_entries_stand_under_the_filter_and_enter_looks(qtbot: QtBot, tmp_path: Path) -> None:
    window = opened_window(qtbot, tmp_path)
    view = window.faults_view
    view.refresh()
    assert view.filters.times.isHidden()

    window.stage.presenter.choose_filter(TIME, window.stage.presenter.state.filters[TIME].words.index(TYPED))
    view.refresh()
    view.filters.times.start.setText("09:41:05")
    QTest.keyClick(view.filters.times.start, Qt.Key.Key_Return)
    view.refresh()

    assert not view.filters.times.isHidden()
    assert window.stage.presenter.state.sentence.split()[0] != "120"
