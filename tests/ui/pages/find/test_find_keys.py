"""The page Find by keys and mouse as people use them."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import MakeMark, StartPing, StartPresence, StartSearch
from buswalk.ui.look import Look
from buswalk.ui.pages.find.find_page import FindViews
from buswalk.ui.palettes import LIGHT
from tests.ui.pages.find.find_on_screen import (
    USUAL,
    Shown,
    details,
    done,
    gone_quiet,
    living,
    ready,
    running,
)


@pytest.fixture
def shown(qtbot: QtBot) -> Shown:
    return Shown(qtbot, Look(LIGHT), USUAL)


# Search by keys and mouse


def test_the_main_button_searches_then_pauses(shown: Shown) -> None:
    ready(shown)
    QTest.mouseClick(shown.view.main, Qt.MouseButton.LeftButton)
    running(shown)
    words = shown.view.main.words

    QTest.mouseClick(shown.view.main, Qt.MouseButton.LeftButton)

    assert len(shown.commands.of(StartSearch)) == 1
    assert words == "Pause"
    assert shown.commands.stops == 1


def test_arrows_walk_the_addresses_and_say_what_they_are(shown: Shown) -> None:
    done(shown)
    picture = shown.view.search.addresses.picture
    picture.go_to(46)

    shown.key(Qt.Key.Key_Right)

    assert shown.page.search.state.addresses.focused == 56
    assert "56, answered at 4800 no parity, not in plan" in picture.accessibleName()
    shown.key(Qt.Key.Key_Up)
    assert shown.page.search.state.addresses.focused == 55
    shown.key(Qt.Key.Key_End)
    assert shown.page.search.state.addresses.focused == 247


def test_digits_go_to_an_address(shown: Shown) -> None:
    done(shown)
    shown.view.search.addresses.picture.setFocus()

    shown.key(Qt.Key.Key_5)
    shown.key(Qt.Key.Key_6)

    assert shown.page.search.state.addresses.focused == 56


def test_ctrl_g_asks_for_an_address_and_goes_there(shown: Shown) -> None:
    done(shown)
    shown.view.main.setFocus()
    shown.key(Qt.Key.Key_G, Qt.KeyboardModifier.ControlModifier)
    entry = shown.view.search.addresses.entry
    assert entry.hasFocus()

    QTest.keyClicks(entry, "24")
    shown.key(Qt.Key.Key_Return)

    assert shown.page.search.state.addresses.focused == 24
    assert shown.view.search.addresses.picture.hasFocus()
    assert not entry.isVisible()


def test_a_press_beside_a_cell_takes_the_nearest(shown: Shown) -> None:
    """Cells are 20 px; the head above them and the room below belong to the first and last row."""
    done(shown)
    picture = shown.view.search.addresses.picture
    below = picture.box_of(59).bottomLeft().toPoint() + QPoint(4, 0)

    QTest.mouseClick(picture, Qt.MouseButton.LeftButton, pos=QPoint(below.x(), min(below.y(), picture.height() - 1)))

    assert shown.page.search.state.addresses.focused == 59


def test_enter_opens_an_address_and_backspace_comes_back(shown: Shown) -> None:
    done(shown)
    shown.view.search.addresses.picture.go_to(51)
    shown.draw()

    shown.key(Qt.Key.Key_Return)
    in_details = shown.view.search.details.exchanges.hasFocus()
    shown.key(Qt.Key.Key_Up)
    number = shown.page.search.state.details
    shown.key(Qt.Key.Key_Backspace)

    assert in_details
    assert number is not None
    assert shown.page.search.state.details is None
    assert shown.view.search.found.table.hasFocus()


def test_the_bytes_are_copied_whole(shown: Shown) -> None:
    details(shown)
    shown.view.search.details.exchanges.setFocus()

    shown.key(Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)

    assert QApplication.clipboard().text().startswith("sent      33 ")


def test_ctrl_e_exports(shown: Shown) -> None:
    done(shown)
    shown.view.main.setFocus()

    shown.key(Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)

    assert shown.saved[0].startswith("address,baud,framing,")


def test_a_row_and_its_cell_are_chosen_together(shown: Shown) -> None:
    done(shown)

    shown.view.search.found.table.choose_row(9)
    shown.draw()

    assert shown.page.search.state.addresses.focused == 56


def test_addresses_are_typed_in_place_of_the_list(shown: Shown) -> None:
    ready(shown)
    shown.page.search.choose_addresses(2)
    shown.draw()
    entry = shown.view.search.known.entry
    assert entry.hasFocus()

    QTest.keyClicks(entry, "14, 56")
    shown.key(Qt.Key.Key_Return)

    assert not entry.isVisible()
    assert shown.page.search.state.known.addresses.chosen == "14, 56"


def test_esc_leaves_typing_without_stopping_anything(shown: Shown) -> None:
    ready(shown)
    shown.page.search.choose_addresses(2)
    shown.draw()

    shown.key(Qt.Key.Key_Escape)

    assert not shown.view.search.known.entry.isVisible()
    assert shown.commands.stops == 0


def test_settings_are_walked_and_spoken(shown: Shown) -> None:
    done(shown)
    matrix = shown.view.search.settings.matrix
    matrix.setFocus()

    shown.key(Qt.Key.Key_Down)

    assert matrix.accessibleName() == "settings, 19200, 8N1 and 8N2, left out"
    for _ in range(20):
        shown.key(Qt.Key.Key_Down)
    assert matrix.spoken.startswith("1200, ")


# Another client


def test_another_client_brings_its_band_with_the_focus(shown: Shown) -> None:
    ready(shown)
    shown.view.main.setFocus()

    living(shown)

    (button,) = shown.view.search.band.buttons
    assert button.hasFocus()
    assert not shown.view.main.isVisible()


def test_searching_in_its_pauses_is_locked_until_it_is_confirmed(shown: Shown) -> None:
    living(shown)
    other = shown.view.search.other_client
    was_enabled = other.search.isEnabled()

    other.tick.click()
    shown.draw()
    QTest.mouseClick(other.search, Qt.MouseButton.LeftButton)

    assert not was_enabled
    assert [type(one) for one in shown.commands.sent] == [MakeMark, StartSearch]


# Ping


def test_the_segment_changes_the_view_and_stops_nothing(shown: Shown) -> None:
    running(shown)

    QTest.mouseClick(shown.view.segment.part(1), Qt.MouseButton.LeftButton)
    shown.draw()

    assert shown.page.shown is FindViews.PING
    assert shown.view.ping.isVisible()
    assert shown.commands.stops == 0
    assert shown.view.main.words == "Pause the search, ping 1"


def test_ctrl_t_walks_the_views_and_f5_asks_all_in_turn(shown: Shown) -> None:
    done(shown)
    shown.view.main.setFocus()
    shown.key(Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    shown.key(Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    views = [shown.page.shown]
    shown.page.main_action()
    shown.key(Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    views.append(shown.page.shown)

    assert views == [FindViews.WHO_IS_QUIET, FindViews.SEARCH]
    assert len(shown.commands.of(StartPresence)) == 1


def test_enter_on_a_quiet_name_shows_its_ping_and_ctrl_e_exports_what_changed(shown: Shown) -> None:
    gone_quiet(shown)
    shown.view.main.setFocus()
    shown.key(Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    shown.view.quiet.names.shown_rows()[1].setFocus()

    shown.key(Qt.Key.Key_Return)

    assert shown.saved[0].startswith("time,what")
    assert shown.page.shown is FindViews.PING
    assert shown.page.ping.address == 51


def test_ping_from_what_to_do_next_shows_its_device(shown: Shown) -> None:
    done(shown)
    steps = [one for one in shown.view.search.steps.findChildren(QPushButton) if one.isVisible()]
    (step,) = [one for one in steps if one.accessibleName().startswith("Ping")]

    QTest.mouseClick(step, Qt.MouseButton.LeftButton)
    shown.draw()

    assert step.accessibleName() == "Ping 14"
    assert shown.page.shown is FindViews.PING
    assert shown.view.main.words == "Ping 14"
    QTest.mouseClick(shown.view.main, Qt.MouseButton.LeftButton)
    assert shown.commands.of(StartPing)[0].plan.server_address == 14


def test_another_page_begins_a_search_and_never_pauses_one(shown: Shown) -> None:
    ready(shown)
    shown.page.begin_search()
    running(shown)

    shown.page.begin_search()

    assert len(shown.commands.of(StartSearch)) == 1
    assert shown.commands.stops == 0
