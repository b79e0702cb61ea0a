"""The write box where the window is small: what was asked for is in sight, and a cut row stands below as a whole."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from buswalk.bus.write_messages import PutBackPlace
from buswalk.domain.preferences import PaletteChoice, Preferences
from tests.fakes.registers_stage import OPEN, RegistersWindow, read, written
from tests.fakes.told_line import copper_opened
from tests.ui.pages.registers.test_write_box import valve_left

CTRL = Qt.KeyboardModifier.ControlModifier
LOW = [pytest.param(1366, 600, id="1366 under a band"), pytest.param(911, 512, id="911x512")]


def shown_page(qtbot: QtBot, width: int, height: int) -> RegistersWindow:
    """The page with one round read, and the keys on the valve."""
    shown = RegistersWindow(Preferences(PaletteChoice.LIGHT))
    qtbot.addWidget(shown.window)
    shown.show(width, height)
    shown.play(read(), 12.0)
    shown.view.table.setFocus()
    for _ in range(2):
        shown.press(Qt.Key.Key_Down)
    return shown


def in_sight(widget: QWidget) -> bool:
    """Tell whether the whole of it can be seen in the area that scrolls it."""
    around = widget.parentWidget()
    while not isinstance(around, QScrollArea):
        assert around is not None
        around = around.parentWidget()
    port = around.viewport()
    return port.rect().contains(QRect(widget.mapTo(port, QPoint(0, 0)), widget.size()))


@pytest.mark.parametrize(("width", "height"), LOW)
def test_ctrl_u_brings_the_whole_question_into_sight(qtbot: QtBot, width: int, height: int) -> None:
    """Its cautions stand above the reason, its buttons below."""
    shown = shown_page(qtbot, width, height)

    shown.press(Qt.Key.Key_U, CTRL)
    shown.settle()

    assert QApplication.focusWidget() is shown.view.write.reason
    assert in_sight(shown.view.write)
    assert in_sight(shown.view.write.leave_button)


@pytest.mark.parametrize(("width", "height"), LOW)
def test_what_is_said_of_a_refused_value_and_put_back_come_into_sight(qtbot: QtBot, width: int, height: int) -> None:
    shown = shown_page(qtbot, width, height)
    shown.press(Qt.Key.Key_U, CTRL)
    shown.play([OPEN], 13.0)

    shown.type("500")
    shown.press(Qt.Key.Key_Return)
    shown.settle()
    assert in_sight(shown.view.write.told)
    assert shown.view.write.told.text().startswith("Not written: 500")

    shown.play(written(), 23.0)
    shown.settle()
    assert QApplication.focusWidget() is shown.view.write.put_back
    assert in_sight(shown.view.write.put_back)


def test_a_page_that_was_scrolled_by_hand_is_left_there(qtbot: QtBot) -> None:
    """A count that grows below must not take away what somebody reads."""
    shown = shown_page(qtbot, 911, 512)
    shown.press(Qt.Key.Key_U, CTRL)
    shown.settle()
    (area,) = (one for one in shown.view.findChildren(QScrollArea) if one.isAncestorOf(shown.view.write))
    assert area.verticalScrollBar().value() > 0

    area.verticalScrollBar().setValue(0)
    shown.play([OPEN, *written()], 23.0)
    area.verticalScrollBar().setValue(0)
    shown.play([], 24.0)
    shown.settle()

    assert area.verticalScrollBar().value() == 0


def test_the_chosen_change_stands_below_as_a_whole_and_has_a_button(qtbot: QtBot) -> None:
    """The columns cut long places and values; a tool tip is for a mouse alone, and so is a double click."""
    shown = shown_page(qtbot, 1366, 768)
    shown.press(Qt.Key.Key_Up)
    session, port = copper_opened()
    shown.play([session, valve_left(), port, *read()[2:]], 14.0)
    write = shown.view.write

    assert write.whole_change.text() == "Mixing valve of 11 (holding register 0): 4.500 V → 5.000 V"
    write.put_back_row.click()
    shown.settle()
    assert QApplication.focusWidget() is write.reason
    shown.play([OPEN], 14.5)
    write.put_back_row.click()

    assert [one.reason for one in shown.feed.commands.sent if isinstance(one, PutBackPlace)] == [OPEN.reason]
