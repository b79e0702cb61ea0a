"""The page Trend in the real window: everything by keys and mouse, at every size, in both palettes."""

from __future__ import annotations

from pathlib import Path
from typing import cast

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import Kept, MakeMark
from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.session_events import JobStarted, MarkMade, MarkSource
from buswalk.ui.pages.trend.ways import KnownDevice
from buswalk.ui.palettes import LIGHT
from buswalk.ui.shell.mark_bar import MarkBar
from tests.fakes.measured_cycle import FORECASTED
from tests.fakes.memory_record import MemoryRecord
from tests.fakes.shown_widgets import cut, unnamed
from tests.fakes.told_line import kept
from tests.fakes.trend_window import TrendWindow
from tests.fakes.watched_greenhouse import AIR, CO2, SECONDS, SILENT_FROM_S, SILENT_TO_S, USUAL, watched_items
from tests.ui.pages.line.test_line_view import SIZES

SHIFT = Qt.KeyboardModifier.ShiftModifier
CTRL = Qt.KeyboardModifier.ControlModifier


def watched(qtbot: QtBot, preferences: Preferences = Preferences(PaletteChoice.LIGHT)) -> TrendWindow:  # noqa: B008
    """The page with 16 minutes of values."""
    shown = TrendWindow(preferences)
    qtbot.addWidget(shown.window)
    shown.show()
    shown.feed.play(*watched_items(), line_time_s=SECONDS)
    shown.settle()
    return shown


@pytest.mark.parametrize(("width", "height", "text_size"), SIZES)
@pytest.mark.parametrize(
    "state", ["values", "moved", "together", "points", "choosing", "record", "cycle", "no cycle", "empty"]
)
def test_nothing_is_cut_and_everything_has_a_name(
    qtbot: QtBot, width: int, height: int, text_size: TextSize, state: str
) -> None:
    preferences = Preferences(PaletteChoice.LIGHT, text_size)
    if state == "empty":
        shown = TrendWindow(preferences)
        qtbot.addWidget(shown.window)
    else:
        shown = watched(qtbot, preferences)
    shown.show(width, height)
    if state in ("moved", "together"):
        shown.page.presenter.choose_face(("moved", "together").index(state) + 1)
    if state in ("points", "choosing"):
        if state == "choosing":
            shown.parts.devices = (KnownDevice(21, USUAL, "air, bay 1 north", ("room-air",)),)
            shown.parts.library = ProfileLibrary((RegisterProfile("room-air", "Room air, three values", (AIR, CO2)),))
        shown.page.presenter.pick()
    if state == "record":
        shown.parts.records["old"] = cast("RecordReader", MemoryRecord())
        shown.parts.record_path = "old"
        shown.page.presenter.choose_record()
    if state == "cycle":
        shown.feed.play(Kept(99_999, FORECASTED, SECONDS), line_time_s=SECONDS)
        shown.page.cycle.choose_speed(5)
        shown.page.cycle.choose_more(5)
        shown.page.cycle.type_silent("21")
    if "cycle" in state:
        shown.page.cycle.toggle()
    shown.settle()

    assert cut(shown.window) == []
    assert unnamed(shown.window) == []


def test_arrows_walk_the_cursor_by_1_and_10_seconds(qtbot: QtBot) -> None:
    """Home goes to where the window begins, End lets readings follow the newest value again."""
    shown = watched(qtbot)
    presenter = shown.page.presenter
    shown.view.plots.setFocus()

    presenter.put_cursor(300.0)
    shown.press(Qt.Key.Key_Left)
    assert presenter.state.plots.cursor_s == 299.0
    shown.press(Qt.Key.Key_Right, SHIFT)
    assert presenter.state.plots.cursor_s == 309.0
    assert presenter.state.readings.heads[1] == "At 10:09:09"
    shown.press(Qt.Key.Key_Home)
    assert presenter.state.plots.cursor_s == presenter.state.plots.window.begins_s
    shown.press(Qt.Key.Key_End)
    assert presenter.state.plots.cursor_s is None


def test_keys_zoom_and_pan_and_the_segment_follows_again(qtbot: QtBot) -> None:
    shown = watched(qtbot)
    presenter = shown.page.presenter
    shown.view.plots.setFocus()
    before = presenter.state.plots.window

    shown.press(Qt.Key.Key_Plus)
    zoomed = presenter.state.plots.window
    shown.press(Qt.Key.Key_PageUp)
    panned = presenter.state.plots.window
    QTest.mouseClick(shown.view.tools.windows.part(0), Qt.MouseButton.LeftButton)
    shown.settle()

    assert zoomed.seconds == pytest.approx(0.8 * before.seconds)
    assert not zoomed.is_following
    assert panned.begins_s == pytest.approx(zoomed.begins_s - zoomed.seconds / 2)
    assert presenter.state.plots.window.seconds == pytest.approx(240)
    assert presenter.state.plots.window.is_following


def test_a_click_puts_the_cursor_a_drag_moves_the_window_and_the_wheel_zooms(qtbot: QtBot) -> None:
    shown = watched(qtbot)
    presenter, plots = shown.page.presenter, shown.view.plots
    middle = plots.rect().center()
    before = presenter.state.plots.window

    QTest.mouseClick(plots, Qt.MouseButton.LeftButton, pos=middle)
    clicked = presenter.state.plots.cursor_s
    QTest.mousePress(plots, Qt.MouseButton.LeftButton, pos=middle)
    for step in range(1, 11):
        QTest.mouseMove(plots, middle + QPoint(10 * step, 0))
    QTest.mouseRelease(plots, Qt.MouseButton.LeftButton, pos=middle + QPoint(100, 0))
    dragged = presenter.state.plots.window
    at = QPointF(middle)
    QApplication.sendEvent(
        plots,
        QWheelEvent(
            at,
            plots.mapToGlobal(at),
            QPoint(),
            QPoint(0, 120),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,  # noqa: FBT003 - Qt's parameter
        ),
    )

    assert clicked is not None
    assert before.begins_s < clicked < before.ends_s
    assert dragged.begins_s < before.begins_s
    assert presenter.state.plots.window.seconds == pytest.approx(0.8 * dragged.seconds)
    assert presenter.state.plots.cursor_s == clicked


def test_no_line_is_drawn_across_a_gap(qtbot: QtBot, tmp_path: Path) -> None:
    """Curve 22 in the second plot is alone at its height: within the hatched span none of its ink is found."""
    shown = watched(qtbot)
    shown.page.presenter.export()
    path = str(tmp_path / "trend.png")
    shown.parts.export_path = path
    shown.page.presenter.export()
    shown.settle()

    picture = QImage(path)
    plots = shown.view.plots
    state = shown.page.presenter.state.plots
    boxes = plots.boxes()
    scale = picture.width() / plots.width()
    box = boxes.boxes[1]

    def has_curve(at_s: float) -> bool:
        x = round(boxes.x_of(state.window, at_s) * scale)
        rows = range(int((box.top() + 30) * scale), int(box.top() * scale + box.height() * scale * 0.4))
        return any(QColor(picture.pixel(x, y)) == QColor(LIGHT.focus) for y in rows)

    inside = [SILENT_FROM_S + 3 + i for i in range(int(SILENT_TO_S - SILENT_FROM_S) - 6)]
    before = [SILENT_FROM_S - 10 - 0.5 * i for i in range(60)]
    assert any(has_curve(at_s) for at_s in before)
    assert not any(has_curve(at_s) for at_s in inside)
    assert "Saved as trend.png" in shown.page.presenter.state.sentence


def test_readers_are_told_values_marks_and_gaps(qtbot: QtBot) -> None:
    """Name, unit and value of each plot; the gap in words."""
    shown = watched(qtbot)

    names = shown.view.plots.names()

    assert names[0].startswith("plot of °C: 21 air: 21.")
    assert "mark 1, warmed sensor 21" in names
    assert "gap, 22: no answer 45 s" in names


def test_f2_chooses_points_and_space_leaves_one_out(qtbot: QtBot) -> None:
    shown = watched(qtbot)
    presenter = shown.page.presenter
    shown.view.plots.setFocus()

    shown.press(Qt.Key.Key_F2)
    shown.press(Qt.Key.Key_Space)
    rows = presenter.state.pick.rows
    shown.press(Qt.Key.Key_F2)

    assert rows[0][0].words == "no"
    assert "21 air" not in [row[0].words for row in presenter.state.readings.rows]
    assert shown.view.plots.hasFocus()


def test_f5_pauses_a_watch_and_watches_the_same_points_again(qtbot: QtBot) -> None:
    shown = watched(qtbot)
    shown.feed.play(*kept(JobStarted(1, "watch", 0.0)), line_time_s=SECONDS)

    shown.press(Qt.Key.Key_F5)

    assert shown.feed.commands.stops == 1
    assert shown.page.presenter.state.main_words == "Pause"


def test_values_of_a_second_are_drawn_thin_while_moving_and_thick_at_rest(qtbot: QtBot) -> None:
    """Two px at rest, one while it moves."""
    shown = watched(qtbot)
    plots = shown.view.plots
    plots.setFocus()

    def dark() -> int:
        image = QImage(plots.size(), QImage.Format.Format_RGB32)
        plots.render(image)
        ink = QColor(LIGHT.ink).rgb()
        return sum(image.pixel(x, y) == ink for x in range(80, 300) for y in range(60, 300))

    plots.update()
    moving = dark()
    plots.come_to_rest()
    at_rest = dark()

    assert at_rest > 1.3 * moving


def test_the_mark_button_opens_the_same_line_as_ctrl_m(qtbot: QtBot) -> None:
    shown = watched(qtbot)
    bar = shown.window.findChild(MarkBar)
    assert isinstance(bar, MarkBar)

    shown.view.tools.mark.click()
    shown.settle()
    QTest.keyClicks(QApplication.focusWidget() or shown.window, "warmed")
    shown.press(Qt.Key.Key_Return)

    (mark,) = [one for one in shown.feed.commands.sent if isinstance(one, MakeMark)]
    assert mark.words == "warmed"
    assert not bar.isVisible()


def test_a_mark_with_an_end_lies_as_a_span_under_the_curves(qtbot: QtBot, tmp_path: Path) -> None:
    """Between its two uprights the ground is another one; it is seen where it began before the window too."""
    shown = watched(qtbot)
    shown.feed.play(Kept(5001, MarkMade("fan on", MarkSource.USER, 700.0, EndsAt(800.0)), 900.0))
    shown.settle()
    boxes = shown.view.plots.boxes()
    picture = tmp_path / "trend.png"

    assert shown.view.plots.save_picture(str(picture))

    image = QImage(str(picture))
    window = shown.page.presenter.state.plots.window
    y = 2 * (boxes.boxes[1].top() + 30)

    def ground(at_s: float) -> QColor:
        return image.pixelColor(int(2 * boxes.x_of(window, at_s)), int(y))

    assert ground(750.0) != ground(690.0)
    assert ground(750.0) == ground(790.0)
    shown.page.presenter.pan(0.8)
    assert "fan on" in [one.words for one in shown.page.presenter.state.plots.marks]


def test_f3_shows_the_cycle_and_what_if_by_keys_alone(qtbot: QtBot) -> None:
    """The speed has the focus; down chooses 1200 baud, and the cycle then is told beside the one now."""
    shown = watched(qtbot)
    shown.feed.play(Kept(99_999, FORECASTED, SECONDS), line_time_s=SECONDS)
    shown.settle()
    shown.view.plots.setFocus()

    shown.press(Qt.Key.Key_F3)
    assert QApplication.focusWidget() is shown.view.cycle.what_if.speed
    shown.press(Qt.Key.Key_Down)

    (told,) = shown.page.cycle.state.what_if.sentences[:1]
    assert told.startswith("At 1200 baud: a cycle would take ")
    shown.press(Qt.Key.Key_F3)
    assert not shown.view.cycle.isVisible()
    assert shown.view.plots.isVisible()


def test_f2_goes_from_the_cycle_to_the_points(qtbot: QtBot) -> None:
    shown = watched(qtbot)
    shown.press(Qt.Key.Key_F3)
    assert shown.view.cycle.isVisible()

    shown.press(Qt.Key.Key_F2)

    assert shown.view.pick.isVisible()
