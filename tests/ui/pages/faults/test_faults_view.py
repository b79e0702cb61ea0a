"""The page Faults in the real window: nothing cut, everything named and reached by keys, at every size."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import StartWatch
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.outcome import CorruptReply
from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize
from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.visit.session_events import JobStarted, PlanKept
from buswalk.ui.look import Look
from buswalk.ui.pages.faults.byte_rows import ByteRows
from buswalk.ui.pages.faults.exchange_picture import exchange_state
from buswalk.ui.pages.faults.filter_desk import TIME
from buswalk.ui.pages.page import PageName
from buswalk.ui.strip.canvas import StripCanvas
from tests.fakes.every_event import NORMAL, REFUSAL
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.paged_window import CTRL
from tests.fakes.shown_widgets import cut, unnamed
from tests.fakes.told_line import WALL_TIME, copper_opened, found, kept
from tests.ui.pages.faults.faults_stage import PLAN, FaultsWindow, told, write_record
from tests.ui.pages.faults.shown_exchanges import asked_until_not_clean
from tests.ui.pages.line.test_line_view import SIZES

SHIFT = Qt.KeyboardModifier.ShiftModifier
LIGHT = Preferences(PaletteChoice.LIGHT)
SIDES = ("figures", "marks", "watch")


def opened(qtbot: QtBot, folder: Path, preferences: Preferences = LIGHT, rounds: int = 40) -> FaultsWindow:
    """The page Faults on a record with faults."""
    path = folder / "visit.buswalk.sqlite"
    write_record(path, rounds=rounds)
    shown = FaultsWindow(qtbot, preferences)
    shown.show()
    shown.play([*copper_opened(), *kept(PlanKept(PLAN, 0.0)), told(path)])
    shown.press(Qt.Key.Key_6, CTRL)
    return shown


SMALL_AND_USUAL = (SIZES[0], SIZES[2], SIZES[6])
"""Where room is least; the fullest state is tried at every size."""
STATES = ("empty", "watching", "figures", "marks", "watch", "old record", "times")
SHOWN = [
    pytest.param(*size.values, state, id=f"{state}, {size.id}")
    for state in STATES
    for size in (SIZES if state == "figures" else SMALL_AND_USUAL)
]


@pytest.mark.parametrize(("width", "height", "text_size", "state"), SHOWN)
def test_nothing_is_cut_and_everything_has_a_name(
    qtbot: QtBot, tmp_path: Path, width: int, height: int, text_size: TextSize, state: str
) -> None:
    preferences = Preferences(PaletteChoice.LIGHT, text_size)
    shown = opened(qtbot, tmp_path, preferences, rounds=0 if state == "empty" else 40)
    presenter = shown.stage.presenter
    shown.show(width, height)
    if state == "watching":
        shown.play(kept(JobStarted(3, "watch", 1.0), found(11)))
    if state == "times":
        presenter.choose_filter(TIME, presenter.state.filters[TIME].words.index("from … to …"))
        presenter.type_times("noon", "")
    if state in SIDES:
        presenter.choose_side(SIDES.index(state))
        presenter.choose_mark(0)
    if state == "old record":
        older = tmp_path / "older.buswalk.sqlite"
        write_record(older, is_simulated=True, rounds=20)
        shown.stage.to_open = str(older)
        presenter.choose_record()
    shown.settle()

    assert cut(shown.window) == []
    assert unnamed(shown.window) == []


def test_every_column_is_there_in_a_wide_window(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)
    table = shown.faults_view.table

    assert [at for at in range(12) if table.isColumnHidden(at)] == []
    assert table.columnWidth(1) >= 120


def test_f8_opens_the_page_from_anywhere_and_walks(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)
    first = shown.stage.presenter.state.exchange
    shown.press(Qt.Key.Key_1, CTRL)

    shown.press(Qt.Key.Key_F8, SHIFT)

    second = shown.stage.presenter.state.exchange
    assert shown.faults_view.isVisible()
    assert first is not None
    assert second is not None
    assert second.number < first.number
    shown.press(Qt.Key.Key_F8)
    assert shown.stage.presenter.state.exchange == first


def test_enter_on_the_strip_opens_that_exchange_here(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)
    shown.press(Qt.Key.Key_1, CTRL)
    maker = ExchangeMaker()
    shown.play(kept(*(ExchangeDone(maker.answered(22)) for _ in range(6))))
    strip = shown.window.findChild(StripCanvas)
    assert isinstance(strip, StripCanvas)
    strip.setFocus()

    shown.press(Qt.Key.Key_Left)
    shown.press(Qt.Key.Key_Left)
    shown.press(Qt.Key.Key_Return)

    assert shown.faults_view.isVisible()
    exchange = shown.stage.presenter.state.exchange
    assert exchange is not None
    assert exchange.number == 5


def test_the_table_is_walked_by_arrows_and_figures_follow(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)
    assert QApplication.focusWidget() is shown.faults_view.table

    shown.press(Qt.Key.Key_Up)

    state = shown.stage.presenter.state
    assert state.figures.title == "22 air, bay 1 south"
    assert state.exchange is not None
    assert state.exchange.title.split(": ")[1].startswith("22,")


def test_arrows_in_the_timeline_walk_along_the_device(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)
    shown.faults_view.timeline.setFocus()
    first = shown.stage.presenter.state.exchange

    shown.press(Qt.Key.Key_Left)

    second = shown.stage.presenter.state.exchange
    assert first is not None
    assert second is not None
    assert first.title.split(": ")[1][:3] == second.title.split(": ")[1][:3] == "24,"
    assert second.number < first.number


def test_f6_reaches_filter_table_timeline_exchange_and_figures(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)
    view = shown.faults_view
    met = []
    for _ in range(9):
        met.append(QApplication.focusWidget())
        shown.press(Qt.Key.Key_F6)

    for one in view.panes():
        assert one in met


def test_a_filter_is_chosen_by_keys(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)
    kind = shown.faults_view.filters.choices[1]
    kind.setFocus()

    shown.press(Qt.Key.Key_Down)
    kind.activated.emit(kind.currentIndex())
    shown.settle()

    assert shown.stage.presenter.state.is_filtered
    assert shown.faults_view.filters.clear.isEnabled()


def test_bytes_are_copied_by_key(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)
    shown.press(Qt.Key.Key_F8, SHIFT)

    shown.press(Qt.Key.Key_C, CTRL | SHIFT)

    exchange = shown.stage.presenter.state.exchange
    assert exchange is not None
    assert QGuiApplication.clipboard().text() == exchange.copied


def test_f5_watches_and_the_job_cell_says_how_often(qtbot: QtBot, tmp_path: Path) -> None:
    shown = opened(qtbot, tmp_path)

    shown.press(Qt.Key.Key_F5)
    shown.play(kept(JobStarted(3, "watch", 1.0)))

    assert any(isinstance(one, StartWatch) for one in shown.feed.commands.sent)
    assert shown.faults_view.main.words == "Pause"
    assert PageName.FAULTS.digit == 6


@pytest.mark.parametrize("text_size", list(TextSize))
def test_meanings_fit_under_their_boxes(qtbot: QtBot, text_size: TextSize) -> None:
    """Of every kind of damage that the page explains."""
    names = ("stray-byte-before-reply", "truncated-reply", "random-noise", "adapter-releases-late", "check-sum-swapped")
    exchanges = [asked_until_not_clean(name) for name in names]
    exchanges.append(asked_until_not_clean("duplicate-address-together", CorruptReply.__name__))
    maker = ExchangeMaker()
    exchanges += [maker.answered(222), maker.refused(247), maker.silent(5)]
    assert NORMAL
    assert REFUSAL
    rows = ByteRows(Look(text_size=text_size), "bytes")
    qtbot.addWidget(rows)
    rows.resize(rows.minimumSizeHint())

    for one in exchanges:
        rows.show_rows(exchange_state(RecordedExchange(1, 1, 1, one, ()), 1, WALL_TIME).rows)
        assert rows.braces_too_wide() == []
        assert rows.labels_too_wide() == []
