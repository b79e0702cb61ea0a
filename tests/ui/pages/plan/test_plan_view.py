"""The page Plan in the real window: everything by keys, at every size."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import KeepPlan
from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize
from buswalk.domain.site.list_text import rows_of_text
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import PlanKept
from buswalk.ui.pages.chosen_list import ChosenList
from tests.fakes.paged_window import ALT, CTRL, PagedWindow
from tests.fakes.shown_widgets import cut, unnamed
from tests.fakes.told_line import USUAL, copper_opened, found, kept
from tests.ui.pages.line.test_line_view import SIZES

LIGHT = Preferences(PaletteChoice.LIGHT)
DEVICES = (
    PlannedDevice(1, 11, "controller, bay 1", USUAL, "P, 8 levers", "box 1"),
    PlannedDevice(2, 14, "controller, bay 2", USUAL, "P, 8 levers", "box 4"),
    PlannedDevice(3, 21, "air, bay 1 north", USUAL, "2 hex dials", "box 1"),
)
ODD = (
    "Place;Addr.;Device;Baud;Format;Price\n1;11;controller;9600;8N1;3\n2;300;air;9.600;8,00E+01;4\n3;11;meter;9600;;5\n"
)


def planned(qtbot: QtBot, *devices: PlannedDevice, preferences: Preferences = LIGHT) -> PagedWindow:
    """The page Plan with these devices, the list in focus."""
    shown = PagedWindow(qtbot, preferences)
    shown.show()
    shown.play([*copper_opened(), *(kept(PlanKept(devices, 0.0)) if devices else ())])
    shown.press(Qt.Key.Key_8, CTRL)
    return shown


def addresses(shown: PagedWindow) -> list[str]:
    """Addresses as the table shows them."""
    return [row[1].words for row in shown.plan.presenter.state.rows]


@pytest.mark.parametrize(("width", "height", "text_size"), SIZES)
@pytest.mark.parametrize("state", ["usual", "odd", "preview", "empty"])
def test_nothing_is_cut_and_everything_has_a_name(
    qtbot: QtBot, width: int, height: int, text_size: TextSize, state: str
) -> None:
    devices = () if state == "empty" else DEVICES
    shown = planned(qtbot, *devices, preferences=Preferences(PaletteChoice.LIGHT, text_size))
    shown.show(width, height)
    if state in ("odd", "preview"):
        shown.to_choose = ChosenList("bay-2.xlsx", rows_of_text(ODD))
        shown.plan.presenter.bring_in()
    if state == "odd":
        shown.plan.presenter.take_brought_in()
    if state == "usual":
        shown.play(kept(found(11), found(56), found(14)))
    shown.settle()

    assert cut(shown.window) == []
    assert unnamed(shown.window) == []


def test_f2_opens_a_cell_and_enter_keeps_it(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)
    shown.press(Qt.Key.Key_Down)
    shown.press(Qt.Key.Key_Right)

    shown.press(Qt.Key.Key_F2)
    shown.type("15")
    shown.press(Qt.Key.Key_Return)

    assert addresses(shown) == ["11", "15", "21"]
    assert QApplication.focusWidget() is shown.plan_view.table
    kept_plans = [one for one in shown.feed.commands.sent if isinstance(one, KeepPlan)]
    assert [one.server_address for one in kept_plans[-1].devices] == [11, 15, 21]


def test_esc_leaves_a_cell_as_it_was_and_stops_no_job(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)
    shown.press(Qt.Key.Key_Right)
    shown.press(Qt.Key.Key_F2)
    shown.type("99")

    shown.press(Qt.Key.Key_Escape)

    assert addresses(shown) == ["11", "14", "21"]
    assert shown.feed.commands.stops == 0


def test_tab_goes_on_from_cell_to_cell(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)
    shown.press(Qt.Key.Key_Right)
    shown.press(Qt.Key.Key_F2)

    shown.type("12")
    shown.press(Qt.Key.Key_Tab)
    shown.type("new name")
    shown.press(Qt.Key.Key_Return)

    row = shown.plan.presenter.state.rows[0]
    assert (row[1].words, row[2].words) == ("12", "new name")


def test_typing_begins_an_edit(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)
    shown.press(Qt.Key.Key_Right)

    shown.press(Qt.Key.Key_7)
    shown.type("7")
    shown.press(Qt.Key.Key_Return)

    assert addresses(shown) == ["77", "14", "21"]


def test_leaving_a_cell_for_another_thing_keeps_it(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)
    shown.press(Qt.Key.Key_Right)
    shown.press(Qt.Key.Key_F2)
    shown.type("12")

    shown.plan_view.lists.bring_in.setFocus()
    shown.settle()

    assert addresses(shown) == ["12", "14", "21"]


def test_rows_are_put_in_taken_out_moved_and_brought_back(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)

    shown.press(Qt.Key.Key_Down, ALT)
    assert addresses(shown) == ["14", "11", "21"]
    shown.press(Qt.Key.Key_Delete)
    assert addresses(shown) == ["14", "21"]
    shown.press(Qt.Key.Key_Z, CTRL)
    shown.press(Qt.Key.Key_Z, CTRL)
    assert addresses(shown) == ["11", "14", "21"]
    shown.press(Qt.Key.Key_Insert)
    shown.type("60")
    shown.press(Qt.Key.Key_Return)

    assert addresses(shown) == ["11", "60", "14", "21"]


def test_rows_are_pasted_from_the_clipboard(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)
    QApplication.clipboard().setText("address\tname\n45\tsoil probe\n")

    shown.press(Qt.Key.Key_V, CTRL)

    assert addresses(shown) == ["11", "45", "14", "21"]


def test_an_empty_page_begins_by_paste_or_by_hand(qtbot: QtBot) -> None:
    shown = planned(qtbot)
    QApplication.clipboard().setText("45\tsoil probe\t4800 8N1\n")

    shown.press(Qt.Key.Key_V, CTRL)

    assert addresses(shown) == ["45"]
    assert QApplication.focusWidget() is shown.plan_view.table


def test_an_empty_page_begins_with_insert(qtbot: QtBot) -> None:
    shown = planned(qtbot)

    shown.press(Qt.Key.Key_Insert)
    shown.type("60")
    shown.press(Qt.Key.Key_Return)

    assert addresses(shown) == ["60"]


def test_f5_takes_a_shown_list_and_esc_takes_nothing(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)
    shown.to_choose = ChosenList("bay-2.csv", rows_of_text("address,name\n60,meter\n"))
    shown.plan_view.lists.bring_in.click()
    shown.settle()
    assert shown.plan_view.preview.isVisible()

    shown.press(Qt.Key.Key_Escape)
    assert addresses(shown) == ["11", "14", "21"]
    shown.plan_view.lists.bring_in.click()
    shown.settle()
    shown.press(Qt.Key.Key_F5)

    assert addresses(shown) == ["60"]
    assert shown.feed.commands.stops == 0


def test_ctrl_e_exports(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)

    shown.press(Qt.Key.Key_E, CTRL)

    assert len(shown.saved[0]) == 4
    assert shown.plan.presenter.state.told == "Saved as planned-list.csv."


def test_the_rail_tells_how_many_answer(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)

    shown.play(kept(found(11)))

    assert shown.plan.note.words == "1 of 3"


def test_three_hundred_rows_are_drawn_without_a_wait(qtbot: QtBot) -> None:
    """A person must not notice: the whole act, drawing included, stays far under a second."""
    shown = planned(qtbot)
    QApplication.clipboard().setText("address\tname\n" + "".join(f"{i % 247 + 1}\tdevice {i}\n" for i in range(300)))

    shown.press(Qt.Key.Key_V, CTRL)

    assert shown.plan_view.table.rows_model.rowCount() == 300


def test_f7_and_the_button_show_the_switches_of_the_chosen_row(qtbot: QtBot) -> None:
    shown = planned(qtbot, *DEVICES)
    shown.press(Qt.Key.Key_Down)

    shown.press(Qt.Key.Key_F7)
    shown.plan_view.switches.click()

    assert shown.switched == [DEVICES[1], DEVICES[1]]
