"""The page Switches drawn without a screen: keys, mouse, entries, readers."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.switches.view import SwitchesView
from buswalk.ui.pages.switches.ways import SwitchedDevice
from buswalk.ui.palettes import DARK, LIGHT, Colours
from tests.fakes.shown_widgets import cut, unnamed
from tests.fakes.switches_bench import SwitchesBench

BIG, USUAL, SMALL = (1740, 930), (1186, 640), (769, 380)
"""Room of the page in a window of 1920x1080, 1366x768 and 911x512."""
BAY_2 = SwitchedDevice("controller type P", 14, 56, "levers-7-line-end", "bay 2")


def shown(qtbot: QtBot, bench: SwitchesBench, room: tuple[int, int] = USUAL, colours: Colours = LIGHT) -> SwitchesView:
    view = SwitchesView(Look(colours), Narrow.YES if room == SMALL else Narrow.NO, bench.presenter)
    qtbot.addWidget(view)
    view.resize(*room)
    view.show()
    qtbot.waitExposed(view)
    for _ in range(3):
        view.refresh()
        QApplication.processEvents()
    view.block.setFocus()
    return view


@pytest.mark.parametrize("room", [BIG, USUAL, SMALL])
@pytest.mark.parametrize("state", ["device", "dials", "trouble", "column", "nothing", "described", "dials described"])
def test_nothing_is_cut_and_everything_has_a_name(qtbot: QtBot, room: tuple[int, int], state: str) -> None:
    bench = SwitchesBench()
    match state:
        case "device":
            bench.presenter.show_device(BAY_2)
        case "dials":
            bench.on("dials-hex").compare("14", "20")
        case "trouble":
            bench.on("levers-10-speed-parity").presenter.setting.type_address("99")
        case "column":
            bench.on("levers-6-sideways").compare("37", "41")
        case "described":
            bench.on("levers-10-speed-parity").presenter.describing.open()
            bench.presenter.describing.write_name("levers-10-speed-parity")
            bench.presenter.describing.write_list(1, "9600, 19200")
        case "dials described":
            bench.on("dials-hex").presenter.describing.open()

    view = shown(qtbot, bench, room)

    assert cut(view) == []
    assert unnamed(view) == []
    assert (view.width(), view.height()) == room


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_a_lever_is_flipped_by_key_space_and_mouse(qtbot: QtBot, colours: Colours) -> None:
    """From 1: key 3 adds 4, Right and Space add 8 at lever 4, a press on lever 6 adds 32."""
    bench = SwitchesBench()
    view = shown(qtbot, bench, colours=colours)

    QTest.keyClick(view.block, Qt.Key.Key_3)
    QTest.keyClick(view.block, Qt.Key.Key_Right)
    QTest.keyClick(view.block, Qt.Key.Key_Space)
    QTest.mouseClick(view.block, Qt.MouseButton.LeftButton, pos=view.block.control_box(5).center())

    assert bench.state.block.decimal == "45"
    assert (view.decimal.text(), view.hexadecimal.text(), view.binary.text()) == ("45", "0x2D", "0010 1101")


def test_arrows_follow_what_is_seen(qtbot: QtBot) -> None:
    """Lever 1 sits at the right: Left leads from it to 2."""
    bench = SwitchesBench().on("levers-6-adds-1-speed")
    view = shown(qtbot, bench)

    QTest.keyClick(view.block, Qt.Key.Key_Left)

    assert view.block.at == 1


def test_dials_are_set_by_digit_and_turned_by_arrows(qtbot: QtBot) -> None:
    bench = SwitchesBench().on("dials-hex")
    view = shown(qtbot, bench)

    QTest.keyClick(view.block, Qt.Key.Key_2)
    QTest.keyClick(view.block, Qt.Key.Key_Right)
    QTest.keyClick(view.block, Qt.Key.Key_F)
    QTest.keyClick(view.block, Qt.Key.Key_Up)
    QTest.keyClick(view.block, Qt.Key.Key_Down)
    QTest.keyClick(view.block, Qt.Key.Key_Down)

    assert bench.state.block.on_words == "2 and E"


def test_a_press_on_a_digit_sets_the_dial(qtbot: QtBot) -> None:
    """0 is above the middle of the dial."""
    bench = SwitchesBench().on("dials-hex")
    bench.presenter.setting.set_position(0, 5)
    view = shown(qtbot, bench)
    box = view.block.control_box(0)

    QTest.mouseClick(view.block, Qt.MouseButton.LeftButton, pos=QPoint(box.center().x(), box.top() + 12))

    assert bench.state.block.controls[0].position == 0


def test_the_levers_follow_what_is_typed(qtbot: QtBot) -> None:
    bench = SwitchesBench()
    view = shown(qtbot, bench)
    view.decimal.selectAll()

    QTest.keyClicks(view.decimal, "37")
    assert bench.state.block.on_words == "1, 3, 6"
    QTest.keyClicks(view.pattern, "00000001")

    assert bench.state.block.decimal == "128"
    assert view.decimal.text() == "128"


def test_both_addresses_bring_the_list_and_a_row_is_chosen_by_keys(qtbot: QtBot) -> None:
    bench = SwitchesBench().on("levers-7-line-end")
    view = shown(qtbot, bench)

    QTest.keyClicks(view.compare.intended, "14")
    QTest.keyClicks(view.compare.found, "56")
    QTest.keyClick(view.compare.rows[0], Qt.Key.Key_Down)

    assert view.compare.rows[0].accessibleName().startswith("1: Board counts from the other end, 48 %, possible.")
    assert view.compare.rows[1].accessibleDescription() == "chosen"
    assert bench.state.explained.chosen == 1


def test_f7_and_the_button_ask_and_lead_back(qtbot: QtBot) -> None:
    bench = SwitchesBench()
    bench.presenter.show_device(BAY_2)
    view = shown(qtbot, bench)

    QTest.keyClick(view.block, Qt.Key.Key_F7)
    view.compare.instead.ask.click()

    assert bench.went_to == [BAY_2]
    assert bench.asked == [(14, 56)]


def test_a_fact_changed_by_its_segment_redraws_the_block(qtbot: QtBot) -> None:
    bench = SwitchesBench()
    view = shown(qtbot, bench)
    left = view.block.control_box(0).center().x()

    view.facts.segment(0).part(1).click()

    assert view.block.control_box(0).center().x() > left


def test_levers_are_children_for_readers(qtbot: QtBot) -> None:
    if not hasattr(QAccessible, "setActive"):
        pytest.skip("this binding cannot pretend that somebody reads")
    QAccessible.setActive(True)
    try:
        view = shown(qtbot, SwitchesBench().on("levers-7-line-end"))

        names = {one.accessibleName() for one in view.block.findChildren(QWidget)}
    finally:
        QAccessible.setActive(False)

    assert {"Lever 1, ON, counts 1", "Lever 3, OFF, does not count, weighs 4", "Lever 8, OFF, line end"} <= names


def test_a_board_is_described_and_kept_by_keys(qtbot: QtBot) -> None:
    """F2 opens the card; a lever less, a base of 100 and a name; Enter keeps it and goes to the boards."""
    bench = SwitchesBench()
    view = shown(qtbot, bench)

    QTest.keyClick(view.block, Qt.Key.Key_F2)
    QTest.keyClick(view.describe.choice(0), Qt.Key.Key_Up)
    view.describe.base.setFocus()
    QTest.keyClicks(view.describe.base, "100")
    view.describe.name.setFocus()
    QTest.keyClicks(view.describe.name, "pump house")
    QTest.keyClick(view.describe.name, Qt.Key.Key_Return)

    assert [(one.name, len(one.controls), one.stored_base) for one in bench.own] == [("pump-house", 7, 100)]
    assert view.board.currentText() == "pump-house: 7 levers, stored base"
    assert view.compare.isVisible()
    assert not view.describe.isVisible()
    assert QApplication.focusWidget() is view.board


def test_what_is_described_is_in_the_picture_at_once(qtbot: QtBot) -> None:
    bench = SwitchesBench()
    view = shown(qtbot, bench)
    view.edit.click()

    view.describe.use(7).activated.emit(3)
    view.describe.choice(1).activated.emit(1)

    picture = bench.state.block.picture
    assert [one.is_for_address for one in picture.levers] == [*[True] * 7, False]
    assert len({round(one.slot.x_mm, 6) for one in picture.levers}) == 1
    assert view.describe.values(1).accessibleName() == "Line end by lever 8 at OFF, ON"
    assert view.describe.values(1).text() == "off, on"


def test_esc_closes_the_description(qtbot: QtBot) -> None:
    bench = SwitchesBench()
    view = shown(qtbot, bench)
    QTest.keyClick(view.block, Qt.Key.Key_F2)

    QTest.keyClick(view.describe.name, Qt.Key.Key_Escape)

    assert bench.state.described is None
    assert QApplication.focusWidget() is view.edit
