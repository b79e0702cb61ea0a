"""Widgets that pages share: what they say to readers, how keys work on them."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPoint, QRect, Qt
from PySide6.QtGui import QFontMetricsF, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from buswalk.domain.preferences import TextSize
from buswalk.ui.address_states import AddressState
from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.sizes import CAP_HEIGHT_3_M
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.band import Band
from buswalk.ui.widgets.button import Button
from buswalk.ui.widgets.focus_ring import FocusRing
from buswalk.ui.widgets.segment import Segment
from buswalk.ui.widgets.table import Cell, Column, RowsModel, Table

LOOK = Look()


def test_a_button_that_cannot_be_pressed_says_why(qtbot: QtBot) -> None:
    button = Button(LOOK, "Search", key="F5")
    qtbot.addWidget(button)

    button.refuse("no port is open")
    refused = (button.isEnabled(), button.toolTip(), button.accessibleDescription())
    button.allow()

    assert refused == (False, "no port is open", "no port is open")
    assert (button.isEnabled(), button.accessibleName(), button.accessibleDescription()) == (True, "Search", "key F5")


def test_arrows_choose_in_a_segment_and_say_so_once(qtbot: QtBot) -> None:
    segment = Segment(LOOK, "view", ("Search", "Ping", "Who is quiet"))
    qtbot.addWidget(segment)
    chosen: list[int] = []
    segment.chosen.connect(chosen.append)
    segment.show()

    for key in (Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Left):
        QTest.keyClick(segment.part(segment.index), key)

    assert chosen == [1, 2, 1]
    assert segment.part(1).isChecked()


def test_a_table_tells_qt_only_what_differs() -> None:
    """Chosen rows and scroll places survive an update that resets nothing."""
    model = RowsModel((Column("Address", 60), Column("What it is", 0)))
    model.show_rows([(Cell("11"), Cell("controller")), (Cell("21"), Cell("air"))])
    changed: list[tuple[int, int]] = []
    inserted: list[tuple[int, int]] = []
    reset: list[int] = []
    model.dataChanged.connect(lambda first, last, _roles: changed.append((first.row(), last.row())))
    model.rowsInserted.connect(lambda _parent, first, last: inserted.append((first, last)))
    model.modelReset.connect(lambda: reset.append(1))

    model.show_rows([(Cell("11"), Cell("controller")), (Cell("21"), Cell("air, north")), (Cell("22"), Cell("air"))])

    assert (changed, inserted, reset) == ([(1, 1)], [(2, 2)], [])
    assert model.rowCount(QModelIndex()) == 3


def test_rows_that_are_gone_are_taken_away() -> None:
    model = RowsModel((Column("Address", 60),))
    model.show_rows([(Cell("11"),), (Cell("21"),), (Cell("22"),)])

    model.show_rows([(Cell("11"),)])

    assert [model.cell(row, 0).words for row in range(model.rowCount())] == ["11"]


def test_a_cell_says_the_word_of_its_shape_where_it_has_no_words() -> None:
    model = RowsModel((Column("Address", 60), Column("Outcome", 60)))

    model.show_rows(
        [(Cell("", shape=AddressState.IN_DOUBT), Cell("2", shape=OutcomeKind.REFUSED, spoken="refused, 2"))]
    )

    role = Qt.ItemDataRole.AccessibleTextRole
    assert [model.data(model.index(0, i), role) for i in range(2)] == ["in doubt", "refused, 2"]


def test_enter_opens_a_row_and_ctrl_c_copies_it(qtbot: QtBot) -> None:
    table = Table(LOOK, "found", (Column("Address", 60), Column("What it is", 0)))
    qtbot.addWidget(table)
    table.show_rows([(Cell("11"), Cell("controller")), (Cell("21"), Cell("air"))])
    opened: list[int] = []
    table.opened.connect(opened.append)
    table.show()

    table.choose_row(1)
    QTest.keyClick(table, Qt.Key.Key_Return)
    QTest.keyClick(table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)

    assert opened == [1]
    assert QGuiApplication.clipboard().text() == "21\tair"


def test_a_band_is_absent_until_there_is_something_to_say(qtbot: QtBot) -> None:
    band = Band(LOOK)
    qtbot.addWidget(band)
    pressed: list[str] = []
    band.pressed.connect(pressed.append)
    state = BandState(Tone.FAULT, "Gone since 10:14:08", "Plug it in.", (BandAction("again", "Look again", "F5"),))

    before = not band.isHidden()
    band.show_band(state)
    band.buttons[0].click()
    shown = band.isHidden()
    band.show_band(None)

    assert (before, shown, band.isHidden()) == (False, False, True)
    assert pressed == ["again"]
    assert band.accessibleName() == "Gone since 10:14:08"


def test_the_focus_ring_stands_round_the_control_and_moves_nothing(qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    window.resize(300, 200)
    button = Button(LOOK, "Search")
    QVBoxLayout(window).addWidget(button)
    window.show()
    before = button.geometry()
    ring = FocusRing(window, LOOK)
    window.activateWindow()

    button.setFocus()
    QApplication.processEvents()

    around = QRect(button.mapTo(window, QPoint(0, 0)), button.size())
    assert button.geometry() == before
    assert ring.isVisible()
    assert ring.geometry().contains(around.adjusted(-5, -5, 5, 5))
    window.resize(400, 300)
    QApplication.processEvents()
    moved = QRect(button.mapTo(window, QPoint(0, 0)), button.size())
    assert ring.geometry().contains(moved.adjusted(-5, -5, 5, 5))


def test_figures_for_three_metres_have_the_height_they_need(qapp: QApplication) -> None:
    """20 minutes of arc at 3 m: 66 px of capital height at 96 dpi, at every text size at least that."""
    for text_size in TextSize:
        font = Look(text_size=text_size).bold_with_capitals(CAP_HEIGHT_3_M)

        assert QFontMetricsF(font).capHeight() >= CAP_HEIGHT_3_M * text_size.factor
