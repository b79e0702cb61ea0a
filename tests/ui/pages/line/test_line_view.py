"""The page Line in the real window, fed with what the real engine says of the demo line in virtual time."""

from __future__ import annotations

from functools import cache

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import (
    Hand,
    Kept,
    OpenPort,
    PortListed,
    PortsListed,
    SetFactor,
    StartListening,
    StartSearch,
    StreamItem,
    UseHand,
)
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize
from buswalk.domain.search.events import Found
from buswalk.domain.visit.session_events import PortFailed
from buswalk.ui.widgets.shape_widgets import AddressSign
from tests.fakes.demo_items import SHORT_SEARCH, demo_items
from tests.fakes.paged_window import CTRL, PagedWindow
from tests.fakes.shown_widgets import cut, unnamed
from tests.fakes.told_line import copper_opened, found, kept

USUAL = SerialSettings.of(9600, "8N1")
LIGHT, DARK = Preferences(PaletteChoice.LIGHT), Preferences(PaletteChoice.DARK)
PORTS = PortsListed(
    (
        PortListed("COM1", "serial port", "not on USB"),
        PortListed("COM5", "USB serial", "1A86:7523 without serial number"),
    )
)
SIZES = [
    pytest.param(1366, 768, TextSize.USUAL, id="1366x768 at 100"),
    pytest.param(1366, 768, TextSize.LARGE, id="1366x768 at 125"),
    pytest.param(1366, 768, TextSize.LARGEST, id="1366x768 at 150"),
    pytest.param(1366, 696, TextSize.USUAL, id="1366x696, under a task bar"),
    pytest.param(1920, 1080, TextSize.USUAL, id="1920x1080 at 100"),
    pytest.param(1920, 1080, TextSize.LARGEST, id="1920x1080 at 150"),
    pytest.param(911, 512, TextSize.USUAL, id="911x512, the system scales"),
]


@cache
def searched() -> tuple[StreamItem, ...]:
    """A listening and a search on the demo line, as the engine tells it."""
    return tuple(demo_items(StartListening(10.0, USUAL), StartSearch(SHORT_SEARCH)))


@cache
def opened() -> tuple[StreamItem, ...]:
    """The demo line just opened."""
    return tuple(demo_items())


def end_of(items: tuple[StreamItem, ...]) -> float:
    """Line time of the last event."""
    return max(getattr(item, "at_s", 0.0) for item in items)


@pytest.mark.parametrize(("width", "height", "text_size"), SIZES)
@pytest.mark.parametrize("state", ["first", "searched", "ports", "lost"])
def test_nothing_is_cut_and_everything_has_a_name(
    qtbot: QtBot, width: int, height: int, text_size: TextSize, state: str
) -> None:
    shown = PagedWindow(qtbot, Preferences(PaletteChoice.LIGHT, text_size))
    shown.show(width, height)
    items = searched() if state == "searched" else opened()
    shown.play(items, end_of(items))
    if state == "ports":
        shown.line.presenter.choose_port()
        shown.play([PORTS])
    if state == "lost":
        shown.play([*copper_opened(), *kept(PortFailed("COM5", "the adapter of COM5 is gone", 5.0))], 9.0)

    assert cut(shown.window) == []
    assert unnamed(shown.window) == []


def test_what_the_engine_says_is_what_the_page_says(qtbot: QtBot) -> None:
    """On the first day 24 has no supply, and nobody is at 14 (the story of the scenario)."""
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()

    shown.play(searched(), end_of(searched()))

    cable = shown.line.presenter.state.cable
    answering = {
        item.event.server_address for item in searched() if isinstance(item, Kept) and isinstance(item.event, Found)
    }
    silent = {one.number for one in cable.points if "silent" in one.words}
    assert {14, 24} <= silent
    assert not silent & answering
    assert {one.number for one in cable.strangers} == answering - {one.number for one in cable.points}
    assert len(answering) >= 5
    assert shown.line.presenter.state.heard.headline.startswith("Silent for")
    assert len(cable.points) == 11


def test_f5_on_the_demo_line_searches(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.play(opened())
    assert QApplication.focusWidget() is shown.line_view.main

    shown.press(Qt.Key.Key_F5)

    assert shown.searches == 1


def test_ctrl_o_enter_opens_a_port_and_esc_leaves_the_list(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.play(opened())

    shown.press(Qt.Key.Key_O, CTRL)
    shown.play([PORTS])
    assert QApplication.focusWidget() is shown.line_view.ports.table
    shown.press(Qt.Key.Key_Down)
    shown.press(Qt.Key.Key_Up)
    shown.press(Qt.Key.Key_Return)
    assert OpenPort("COM5", USUAL) in shown.feed.commands.sent
    shown.press(Qt.Key.Key_Escape)

    assert shown.line.presenter.state.ports is None
    assert QApplication.focusWidget() is shown.line_view.main
    assert shown.feed.commands.stops == 0


def test_a_port_can_be_written(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.press(Qt.Key.Key_O, CTRL)
    shown.line_view.ports.port.setFocus()
    shown.line_view.ports.port.selectAll()

    shown.type("socket://box:502")
    shown.press(Qt.Key.Key_Return)

    assert OpenPort("socket://box:502", USUAL) in shown.feed.commands.sent


def test_expert_settings_come_when_they_are_asked_for(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.press(Qt.Key.Key_O, CTRL)
    pane = shown.line_view.ports
    assert not pane.expert.isVisible()

    pane.shows_expert.click()
    pane.rts.click()
    shown.settle()

    assert pane.expert.isVisible()
    assert not shown.line.presenter.state.ports.form.options.rts  # type: ignore[union-attr]


def test_hands_and_time_are_used(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.play(opened())
    side = shown.line_view.side

    side.hands.first_button().click()
    side.time.speed.part(2).click()

    assert UseHand(Hand.UNPLUG, "controller of bay 1") in shown.feed.commands.sent
    assert SetFactor(100.0) in shown.feed.commands.sent


def test_a_demo_line_shows_its_adapter_behind_a_word(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.play(opened())
    side = shown.line_view.side
    assert side.hands.isVisible()
    assert not side.adapter.isVisible()

    side.faces.part(1).click()

    assert side.adapter.isVisible()
    assert not side.hands.isVisible()


def test_arrows_walk_along_the_cable_and_enter_shows_the_plan(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.play(opened())
    picture = shown.line_view.cable.picture
    picture.setFocus()
    said: list[str] = []
    picture.pointed.connect(said.append)

    shown.press(Qt.Key.Key_Right)
    shown.press(Qt.Key.Key_Right)
    shown.press(Qt.Key.Key_Return)

    assert said[0] == "14, controller of bay 2: planned, not asked yet"
    assert shown.plan_view.isVisible()


def test_words_of_the_device_that_is_looked_at_follow_what_becomes_of_it(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.play(opened())
    picture = shown.line_view.cable.picture
    picture.setFocus()
    said: list[str] = []
    picture.pointed.connect(said.append)

    shown.play(kept(found(11)))

    assert said
    assert "not asked yet" not in said[-1]


def test_devices_on_the_cable_are_named_one_by_one(qtbot: QtBot) -> None:
    """A reader hears each device, not one image."""
    shown = PagedWindow(qtbot, LIGHT)
    shown.show()
    shown.play(opened())

    names = [one.accessibleName() for one in shown.line_view.cable.picture.findChildren(AddressSign)]

    assert "24, air, bay 2 south: planned, not asked yet" in names
    assert len(names) == 11


def test_exchanges_are_listed_where_there_is_room_and_can_be_held(qtbot: QtBot) -> None:
    shown = PagedWindow(qtbot, LIGHT)
    shown.show(1920, 1080)
    shown.play(searched(), end_of(searched()))
    table = shown.line_view.exchanges.table
    assert table.isVisible()
    table.setFocus()

    shown.press(Qt.Key.Key_Space)

    assert shown.line.presenter.exchanges.is_held


def test_dark_pages_are_drawn_in_dark_colours_alone(qtbot: QtBot) -> None:
    """A corner of each card, and the room between them, is never light."""
    shown = PagedWindow(qtbot, DARK)
    shown.show()
    shown.play(opened())

    image = shown.window.grab().toImage()
    lightness = [QColor(image.pixel(x, y)).lightness() for x in range(300, 1300, 50) for y in (163, 330, 340, 700, 760)]

    light = [one for one in lightness if one > 150]
    assert len(light) < len(lightness) / 10
