"""The page Registers in the real window: everything by keys, at every size, nothing cut, everything named."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import StartReaddress, StartWatch, StreamItem
from buswalk.bus.write_messages import PutBack, PutBackPlace, SendFrame, UnlockWriting, WriteValue
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.custom_frame import request_in
from buswalk.domain.modbus.outcome import BroadcastSent, ExceptionReply
from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize
from buswalk.domain.readdressing.events import CompanyLooked
from buswalk.domain.search.events import LivingLine
from buswalk.domain.search.events import Verdict as LineVerdict
from buswalk.domain.site.list_text import rows_of_text
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.registers.frame_form import FrameForm
from buswalk.ui.pages.registers.move_state import MoveTyped
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.registers_stage import OPEN, RegistersWindow, read, told, written
from tests.fakes.shown_widgets import cut, unnamed
from tests.fakes.told_line import copper_opened, found, kept
from tests.fakes.told_moves import checking, lost, waiting
from tests.ui.pages.line.test_line_view import SIZES
from tests.ui.pages.registers.test_brought_list import ODD, PLAIN
from tests.ui.pages.registers.test_map_learner import learnt
from tests.ui.pages.registers.test_workbench import ENDED, holding, inputs
from tests.ui.pages.registers.test_write_box import valve_left

REFUSED = ExceptionReply(bytes.fromhex("0B 83 02 E0 F3"), 2)
MOVES: dict[str, list[StreamItem]] = {
    "move": [],
    "company": [*checking(), *kept(CompanyLooked(246, (11, 12, 21, 22, 23, 31, 32, 41, 51, 56), 50.0))],
    "restart": waiting(),
    "lost": lost(),
}
CTRL = Qt.KeyboardModifier.ControlModifier
VALVE_ROW, CO2_ROW = 4, 6
STATES = [
    "empty",
    "read",
    "float",
    "raw",
    "question",
    "open",
    "written",
    "second",
    "left",
    "living",
    "find",
    "found",
    "describe",
    "brought",
    "map",
    "move",
    "company",
    "restart",
    "lost",
    "bytes",
    "sent",
]


def shown_page(qtbot: QtBot, preferences: Preferences = Preferences(PaletteChoice.LIGHT)) -> RegistersWindow:  # noqa: B008
    """The page with one round read."""
    shown = RegistersWindow(preferences)
    qtbot.addWidget(shown.window)
    shown.show()
    shown.play(read(), 12.0)
    return shown


@pytest.mark.parametrize(("width", "height", "text_size"), SIZES)
@pytest.mark.parametrize("state", STATES)
def test_nothing_is_cut_and_everything_has_a_name(
    qtbot: QtBot, width: int, height: int, text_size: TextSize, state: str
) -> None:
    shown = RegistersWindow(Preferences(PaletteChoice.LIGHT, text_size))
    qtbot.addWidget(shown.window)
    shown.show(width, height)
    presenter = shown.page.presenter
    if state != "empty":
        shown.play(told() if state == "living" else read(), 12.0)
    match state:
        case "float":
            presenter.choose_row(CO2_ROW)
        case "raw":
            presenter.choose_profile(2)
        case "question":
            presenter.toggle_lock()
        case "open" | "written":
            presenter.choose_row(VALVE_ROW)
            shown.play([OPEN, *(written() if state == "written" else ())], 23.0)
        case "second":
            shown.play([OPEN, *kept(*(found(one) for one in range(21, 36)))], 12.5)
            presenter.choose_device(len(presenter.devices.all) - 1)
            presenter.choose_profile(1)
            presenter.choose_row(VALVE_ROW)
            presenter.write("5")
        case "left":
            session, port = copper_opened()
            shown.play([session, valve_left(), port, *read()[2:]], 14.0)
        case "find" | "describe":
            presenter.show_face(1 if state == "find" else 2)
        case "brought":
            presenter.show_face(2)
            shown.parts.to_choose = ChosenList("maker list.csv", rows_of_text(ODD))
            presenter.bench.bring_in()
        case "map":
            presenter.show_face(3)
            shown.play(kept(ENDED, learnt()), 13.0)
        case "found":
            presenter.show_face(1)
            presenter.choose_row(VALVE_ROW)
            shown.play(kept(ENDED), 13.0)
            look(shown, "4.500", holding(60, 0, 60000, 4500, 61000))
            look(shown, "4.600", holding(61, 0, 60000, 4600, 61000))
        case "move" | "company" | "restart" | "lost":
            show_move(shown, state)
        case "bytes" | "sent":
            show_bytes(shown, state)
        case "living":
            presenter.main_action()
            living = LivingLine(LineVerdict.TRAFFIC, "something is sending")
            shown.play(
                kept(JobStarted(1, "watch", 12.0), living, JobEnded(1, "watch", JobEndKind.FINISHED, "", 13.0)), 14.0
            )
    shown.settle()

    assert cut(shown.window) == []
    assert unnamed(shown.window) == []


def show_move(shown: RegistersWindow, state: str) -> None:
    """Show the guided job with four places, as far as it has come."""
    shown.page.presenter.show_move(11)
    typed = MoveTyped("45", 6, 1, "100=45, 101=4, 255=1", "45", may_have_company=False)
    shown.page.presenter.change_move(typed)
    shown.play([OPEN, *MOVES[state]], 75.0)


def show_bytes(shown: RegistersWindow, state: str) -> None:
    """Show bytes that need a second confirmation, or what came of some."""
    shown.page.presenter.show_face(5)
    shown.page.presenter.change_frame(FrameForm("00 08 00 04 00 00"))
    shown.play([OPEN], 20.0)
    if state == "sent":
        shown.page.presenter.confirm_frame(is_confirmed=True)
        send_twice(shown)


def send_twice(shown: RegistersWindow) -> None:
    """Send a broadcast, then a read that is refused."""
    shown.page.presenter.send_frame()
    for text, outcome in (("00 08 00 04 00 00", BroadcastSent()), ("0B 03 00 00 00 01", REFUSED)):
        shown.page.presenter.change_frame(FrameForm(text))
        shown.page.presenter.confirm_frame(is_confirmed=True)
        shown.page.presenter.send_frame()
        frame = [one.frame for one in shown.feed.commands.sent if isinstance(one, SendFrame)][-1]
        made = ExchangeMaker(20.0).made(frame[0], outcome, 0.02)
        exchange = replace(made, request=request_in(frame), request_adu=frame)
        shown.play(kept(ExchangeDone(exchange)), 21.0)
    shown.page.presenter.choose_sent(1)


def look(shown: RegistersWindow, text: str, told_then: ExchangeDone) -> None:
    """Type what is shown; the device answers."""
    shown.page.presenter.bench.look(text)
    shown.play(kept(JobStarted(1, "watch", 12.0), told_then, ENDED), 13.0)


def test_a_value_is_looked_for_with_keys_alone(qtbot: QtBot) -> None:
    """Ctrl+T to the finder, the number, Enter; the device is read once."""
    shown = shown_page(qtbot)
    shown.play(kept(ENDED), 12.5)
    shown.view.table.setFocus()

    shown.press(Qt.Key.Key_T, CTRL)
    shown.type("21.5")
    shown.press(Qt.Key.Key_Return)

    assert [one for one in shown.feed.commands.sent if isinstance(one, StartWatch)]
    shown.play(kept(JobStarted(2, "watch", 13.0), inputs(60, 0, 215, 9999, at_s=13.5), ENDED), 14.0)
    assert shown.view.finder.table.rows_model.cell(0, 0).words == "Input register 0"


def test_a_write_is_made_and_put_back_with_keys_alone(qtbot: QtBot) -> None:
    """Down to the valve, Ctrl+U, reason, Enter; value, Enter; Space on the focused Put back."""
    shown = shown_page(qtbot)
    shown.view.table.setFocus()

    for _ in range(2):
        shown.press(Qt.Key.Key_Down)
    shown.press(Qt.Key.Key_U, CTRL)
    shown.type("balancing, bay 1 clear")
    shown.press(Qt.Key.Key_Return)
    assert [one.reason for one in shown.feed.commands.sent if isinstance(one, UnlockWriting)] == [
        "balancing, bay 1 clear"
    ]
    shown.play([OPEN], 13.0)
    assert QApplication.focusWidget() is shown.view.write.entry
    shown.type("5")
    shown.press(Qt.Key.Key_Return)
    orders = [one.order for one in shown.feed.commands.sent if isinstance(one, WriteValue)]
    assert [one.intended.words for one in orders] == [(5000,)]

    shown.play(written(), 23.0)
    assert QApplication.focusWidget() is shown.view.write.put_back
    shown.press(Qt.Key.Key_Space)

    assert [one.write for one in shown.feed.commands.sent if isinstance(one, PutBack)] == [1]


def test_escape_leaves_the_question_locked(qtbot: QtBot) -> None:
    shown = shown_page(qtbot)
    shown.view.table.setFocus()

    shown.press(Qt.Key.Key_U, CTRL)
    assert QApplication.focusWidget() is shown.view.write.reason
    shown.press(Qt.Key.Key_Escape)

    assert not shown.page.presenter.has_question
    assert not [one for one in shown.feed.commands.sent if isinstance(one, UnlockWriting)]


def test_arrows_pass_the_head_of_a_table(qtbot: QtBot) -> None:
    """Rows: head, supply, pipe, head, valve."""
    shown = shown_page(qtbot)
    shown.view.table.setFocus()

    shown.press(Qt.Key.Key_Down)
    shown.press(Qt.Key.Key_Down)
    assert shown.view.table.currentIndex().row() == VALVE_ROW
    shown.press(Qt.Key.Key_Up)

    assert shown.view.table.currentIndex().row() == VALVE_ROW - 2
    assert shown.page.presenter.state.points.chosen == VALVE_ROW - 2


def test_keys_lead_to_switches_and_back_to_the_device(qtbot: QtBot) -> None:
    shown = shown_page(qtbot)
    shown.view.table.setFocus()

    shown.press(Qt.Key.Key_F7)
    shown.press(Qt.Key.Key_F4)

    assert shown.parts.went == ["switches 11", "device 11"]


def test_f5_on_an_empty_page_searches(qtbot: QtBot) -> None:
    shown = RegistersWindow(Preferences(PaletteChoice.LIGHT))
    qtbot.addWidget(shown.window)
    shown.show()

    shown.press(Qt.Key.Key_F5)

    assert shown.parts.went == ["search"]
    assert not [one for one in shown.feed.commands.sent if isinstance(one, StartWatch)]


def test_a_broadcast_waits_for_a_second_question_that_habit_does_not_answer(qtbot: QtBot) -> None:
    """Enter in the value asks; Enter and Space write nothing, for the focus begins on leaving; Tab and Space do."""
    shown = shown_page(qtbot)
    shown.play([OPEN], 12.5)
    shown.page.presenter.choose_device(1)
    shown.page.presenter.choose_profile(1)
    shown.page.presenter.choose_row(VALVE_ROW)
    shown.settle()
    write = shown.view.write
    assert write.write.words == "Write…"

    for leave in (Qt.Key.Key_Space, Qt.Key.Key_Escape):
        write.entry.setFocus()
        shown.type("5")
        shown.press(Qt.Key.Key_Return)
        assert QApplication.focusWidget() is write.second.leave
        shown.press(Qt.Key.Key_Return)
        shown.press(leave)
        assert not write.second.isVisible()
        assert QApplication.focusWidget() is write.entry
    assert not [one for one in shown.feed.commands.sent if isinstance(one, WriteValue)]
    shown.type("5")
    shown.press(Qt.Key.Key_Return)
    shown.press(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is write.second.confirm
    shown.press(Qt.Key.Key_Space)

    (sent,) = [one for one in shown.feed.commands.sent if isinstance(one, WriteValue)]
    assert sent.order.intended.is_broadcast


def test_what_an_earlier_session_left_is_put_back_with_keys_alone(qtbot: QtBot) -> None:
    """Enter on the row asks to unlock first; unlocked, Enter puts back."""
    shown = shown_page(qtbot)
    session, port = copper_opened()
    shown.play([session, valve_left(), port, *read()[2:]], 14.0)
    shown.view.write.changes.setFocus()
    shown.view.write.changes.choose_row(0)

    shown.press(Qt.Key.Key_Return)
    assert QApplication.focusWidget() is shown.view.write.reason
    shown.play([OPEN], 14.5)
    shown.view.write.changes.setFocus()
    shown.press(Qt.Key.Key_Return)

    assert [one.reason for one in shown.feed.commands.sent if isinstance(one, PutBackPlace)] == [OPEN.reason]


def test_a_list_is_brought_in_taken_and_exported_with_keys_alone(qtbot: QtBot) -> None:
    """Space on the button; Enter on a column, a meaning by arrow, Enter back; Tab to 'Take these points'; Ctrl+E."""
    shown = shown_page(qtbot)
    shown.parts.to_choose = ChosenList("maker list.csv", rows_of_text(PLAIN))
    shown.page.presenter.show_face(2)
    shown.settle()
    brought = shown.view.brought

    shown.view.describe.bring_in.setFocus()
    shown.press(Qt.Key.Key_Space)
    assert QApplication.focusWidget() is brought.columns
    shown.press(Qt.Key.Key_Escape)
    assert not brought.isVisible()
    assert QApplication.focusWidget() is shown.view.describe.bring_in
    shown.press(Qt.Key.Key_Space)
    for key in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Up):
        shown.press(key)
    assert brought.columns.rows_model.cell(1, 3).words == "not taken"
    assert brought.preview.rows_model.cell(0, 0).words == "holding_registers_0"
    shown.press(Qt.Key.Key_Down)
    assert brought.preview.rows_model.cell(0, 0).words == "Supply fan"
    shown.press(Qt.Key.Key_Return)
    assert QApplication.focusWidget() is brought.columns
    for _ in range(2):
        shown.press(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is brought.take
    shown.press(Qt.Key.Key_Space)
    shown.press(Qt.Key.Key_E, CTRL)

    assert QApplication.focusWidget() is shown.view.table
    assert shown.parts.exported[0][0] == "own-maker-list.csv"
    assert [row[1] for row in shown.parts.exported[0][1]] == ["address", "40001", "40003"]


def test_a_device_is_moved_with_keys_alone(qtbot: QtBot) -> None:
    """F2, the address, what is written, Ctrl+U with a reason; the address once more and Enter; F2 back."""
    shown = shown_page(qtbot)
    shown.play(kept(ENDED), 12.5)
    shown.view.table.setFocus()

    shown.press(Qt.Key.Key_F2)
    move = shown.view.other.move
    assert QApplication.focusWidget() is move.address
    shown.press(Qt.Key.Key_A, CTRL)
    shown.type("45")
    for _ in range(3):
        shown.press(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is move.writes
    shown.type("100=45")
    shown.press(Qt.Key.Key_U, CTRL)
    shown.type("as planned")
    shown.press(Qt.Key.Key_Return)
    shown.play([OPEN], 13.0)
    assert QApplication.focusWidget() is move.confirm
    shown.type("45")
    shown.press(Qt.Key.Key_Return)

    plans = [one.plan for one in shown.feed.commands.sent if isinstance(one, StartReaddress)]
    assert [(one.before.server_address, one.after.server_address) for one in plans] == [(11, 45)]
    assert move.confirm.text() == ""
    shown.press(Qt.Key.Key_F2)
    assert QApplication.focusWidget() is shown.view.table


def test_bytes_are_sent_with_keys_alone(qtbot: QtBot) -> None:
    shown = shown_page(qtbot)
    shown.play([*kept(ENDED), OPEN], 12.5)
    shown.page.presenter.show_face(5)
    shown.settle()
    shown.view.first_focus().setFocus()

    shown.type("0B 03 00 00 00 01")
    shown.press(Qt.Key.Key_Tab)
    shown.press(Qt.Key.Key_Right)
    shown.press(Qt.Key.Key_Tab)
    shown.press(Qt.Key.Key_Return)

    (sent,) = [one for one in shown.feed.commands.sent if isinstance(one, SendFrame)]
    assert sent.frame[:-2] == bytes.fromhex("0B 03 00 00 00 01")
    assert shown.page.presenter.state.other.frame.check_sum == 1
