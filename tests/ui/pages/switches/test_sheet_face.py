"""The sheet on screen: white in both palettes, where its labels lie, keys that walk, print and close it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import Kept
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import PlanKept
from buswalk.ui.pages.switches.sheet_face import PX_PER_MM
from buswalk.ui.pages.switches.view import SwitchesView
from buswalk.ui.palettes import DARK, LIGHT, Colours
from tests.fakes.shown_widgets import cut, unnamed
from tests.fakes.switches_bench import SwitchesBench
from tests.ui.pages.switches.test_label_sheet import BAY_1, MANY, opened, sheet
from tests.ui.pages.switches.test_switches_view import BIG, SMALL, USUAL, shown

NO_BOARDS = tuple(
    PlannedDevice(place, place + 60, "pump", board=board) for place in range(40, 48) for board in ("", "x")
)


def sheet_shown(
    qtbot: QtBot, bench: SwitchesBench, room: tuple[int, int] = USUAL, colours: Colours = LIGHT
) -> SwitchesView:
    """The view with the sheet, its paper in focus."""
    view = shown(qtbot, bench, room, colours)
    view.sheet.paper.setFocus()
    QApplication.processEvents()
    return view


@pytest.mark.parametrize("devices", [(BAY_1,), (BAY_1, *MANY, *NO_BOARDS)], ids=["one", "many"])
@pytest.mark.parametrize("room", [BIG, USUAL, SMALL])
def test_nothing_is_cut_and_everything_has_a_name(
    qtbot: QtBot, room: tuple[int, int], devices: tuple[PlannedDevice, ...]
) -> None:
    view = sheet_shown(qtbot, opened(*devices), room)

    assert cut(view) == []
    assert unnamed(view) == []
    assert (view.width(), view.height()) == room


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_the_paper_stays_white_and_its_address_black(qtbot: QtBot, colours: Colours) -> None:
    """The margin is 10 mm; the first label's address is bold and 9 mm high, 18 mm below the upper edge."""
    view = sheet_shown(qtbot, opened(BAY_1), colours=colours)
    paper = view.sheet.paper.paper

    image = paper.grab().toImage()

    scale = paper.px_per_mm
    assert image.pixelColor(round(5 * scale), round(5 * scale)) == QColor(Qt.GlobalColor.white)
    address = [
        image.pixelColor(x, y).lightness()
        for x in range(round(14 * scale), round(40 * scale))
        for y in range(round(22 * scale), round(31 * scale))
    ]
    assert min(address) == 0


def test_the_paper_has_its_true_size_where_there_is_room(qtbot: QtBot) -> None:
    """96 px are an inch of 25.4 mm; A4 is 210 mm wide (ISO 216)."""
    wide = sheet_shown(qtbot, opened(BAY_1)).sheet.paper.paper
    narrow = sheet_shown(qtbot, opened(BAY_1), SMALL).sheet.paper.paper

    assert wide.px_per_mm == PX_PER_MM
    assert wide.width() == pytest.approx(210 * 96 / 25.4, abs=3)
    assert narrow.width() <= SMALL[0]
    assert narrow.px_per_mm > 3.4


def test_ctrl_l_opens_ctrl_p_prints_and_esc_closes(qtbot: QtBot) -> None:
    bench = SwitchesBench()
    bench.presenter.take(Kept(1, PlanKept((BAY_1,), 0.0), 0.0))
    view = shown(qtbot, bench)

    QTest.keyClick(view.block, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    is_on_paper = view.sheet.paper.hasFocus()
    QTest.keyClick(view.sheet.paper, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(view.sheet.paper, Qt.Key.Key_Escape)

    assert is_on_paper
    assert [one.server_address for one in bench.printed[0]] == [11]
    assert bench.state.sheet is None
    assert view.block.isVisible()
    assert view.plan.hasFocus()


def test_pages_are_walked_by_keys(qtbot: QtBot) -> None:
    bench = opened(*MANY)
    view = sheet_shown(qtbot, bench)
    walked = []

    for key in (Qt.Key.Key_Right, Qt.Key.Key_Left, Qt.Key.Key_End, Qt.Key.Key_Home):
        QTest.keyClick(view.sheet.paper, key)
        walked.append(sheet(bench).at)

    assert walked == [1, 0, sheet(bench).pages - 1, 0]
    assert view.sheet.paper.accessibleName() == f"labels, page 1 of {sheet(bench).pages}"
    assert not view.sheet.before.isEnabled()
    assert view.sheet.before.toolTip() == "this is the first page"


def test_page_down_scrolls_to_the_foot_and_then_to_the_next_page(qtbot: QtBot) -> None:
    """640 px show about half of a page of 1123."""
    bench = opened(*MANY)
    view = sheet_shown(qtbot, bench)
    bar = view.sheet.paper.verticalScrollBar()

    presses = 0
    while sheet(bench).at == 0:
        QTest.keyClick(view.sheet.paper, Qt.Key.Key_PageDown)
        presses += 1
        assert presses < 6
    top_of_second = bar.value()
    QTest.keyClick(view.sheet.paper, Qt.Key.Key_PageUp)

    assert presses in (2, 3)
    assert top_of_second == 0
    assert sheet(bench).at == 0
    assert bar.value() == bar.maximum()


def test_labels_are_children_for_readers_where_they_lie(qtbot: QtBot) -> None:
    """The first label begins 10 mm from the left and 18 mm from the top."""
    QAccessible.setActive(True)
    try:
        paper = sheet_shown(qtbot, opened(BAY_1)).sheet.paper.paper
        children = [one for one in paper.findChildren(QWidget) if one.accessibleName().startswith("11, bay 1")]
    finally:
        QAccessible.setActive(False)

    assert len(children) == 1
    assert children[0].geometry().topLeft() == QPoint(round(10 * PX_PER_MM), round(18 * PX_PER_MM))
