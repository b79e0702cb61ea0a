"""The whole window without any process: keys, names, focus, and that nothing is cut at any size."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import AtTime, MakeMark, OpenPort, RecordTold, StartSearch
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.outcome import CorruptReply
from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize
from buswalk.domain.search.events import SearchPlan, SearchProgress
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import JobStarted, PortFailed
from buswalk.ui.desktop import WindowParts, open_window
from buswalk.ui.pages.page import PORT_CHOICE, PageName, RailNote
from buswalk.ui.palettes import DARK, LIGHT
from buswalk.ui.shell.main_window import MainWindow
from buswalk.ui.sounds import Silence
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.plain_page import PlainPages
from tests.fakes.played_feed import PlayedFeed
from tests.fakes.shown_widgets import cut, unnamed
from tests.fakes.styled_application import styled_application
from tests.ui.shell.test_head_presenter import BEGAN, SETTINGS, opened

SIZES = [
    pytest.param(1366, 768, TextSize.USUAL, id="1366x768 at 100"),
    pytest.param(1366, 768, TextSize.LARGE, id="1366x768 at 125"),
    pytest.param(1366, 768, TextSize.LARGEST, id="1366x768 at 150"),
    pytest.param(1920, 1080, TextSize.USUAL, id="1920x1080 at 100"),
    pytest.param(1920, 1080, TextSize.LARGEST, id="1920x1080 at 150"),
    pytest.param(911, 512, TextSize.USUAL, id="911x512, the system scales"),
    pytest.param(1300, 696, TextSize.USUAL, id="1300x696, rail without notes"),
]


class Opened:
    """A window with its feed, its pages and what it keeps."""

    def __init__(self, qtbot: QtBot, preferences: Preferences | None = None) -> None:
        self.feed = PlayedFeed()
        self.pages = PlainPages(PageName.LINE, PageName.FIND, PageName.PLAN)
        self.kept: list[Preferences] = []
        self.now_s = 0.0
        chosen = preferences or Preferences(PaletteChoice.LIGHT)
        parts = WindowParts(self.feed, self.pages, chosen, self._keep, Silence(), lambda: self.now_s)
        self.window: MainWindow = open_window(styled_application(), parts)
        qtbot.addWidget(self.window)

    def _keep(self, preferences: Preferences) -> str:
        self.kept.append(preferences)
        return ""

    def show(self, width: int = 1366, height: int = 768) -> None:
        self.window.resize(width, height)
        self.window.show()
        self.window.activateWindow()
        QApplication.processEvents()

    def press(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(QApplication.focusWidget() or self.window, key, modifier)
        QApplication.processEvents()

    def work(self) -> None:
        """Let a search run with much on the strip, and everything at its longest."""
        maker = ExchangeMaker(1900.0)
        self.pages.made[PageName.FIND].note = RailNote("8 of 11")
        self.feed.play_events(
            BEGAN,
            opened("/dev/ttyUSB0"),
            JobStarted(1, "search", 0.0),
            SearchProgress(400, 900, SETTINGS, 300.0),
            *[ExchangeDone(maker.silent(address, 0.06)) for address in range(10, 30)],
            ExchangeDone(maker.made(247, CorruptReply(b"\x00" * 255, 255))),
            line_time_s=1985.0,
        )
        state = RecordState("2024-03-05-greenhouse-first-day-2", "x", 2_000_000, is_simulated=False)
        self.feed.play(RecordTold(state), line_time_s=1985.0)


@pytest.fixture
def opened_window(qtbot: QtBot) -> Iterator[Opened]:
    made = Opened(qtbot)
    made.show()
    yield made
    made.window.close()


@pytest.mark.parametrize("palette", [PaletteChoice.LIGHT, PaletteChoice.DARK])
@pytest.mark.parametrize(("width", "height", "text_size"), SIZES)
def test_nothing_is_cut_at_any_size(
    qtbot: QtBot, width: int, height: int, text_size: TextSize, palette: PaletteChoice
) -> None:
    opened_window = Opened(qtbot, Preferences(palette, text_size))
    opened_window.show(width, height)
    opened_window.work()
    opened_window.feed.play_events(PortFailed("/dev/ttyUSB0", "gone", 1988.0), line_time_s=2000.0)
    qtbot.wait(250)

    assert cut(opened_window.window) == []
    assert (opened_window.window.width(), opened_window.window.height()) == (width, height)
    opened_window.window.close()


@pytest.mark.parametrize("text_size", list(TextSize))
def test_every_widget_has_a_name_for_a_reader(qtbot: QtBot, text_size: TextSize) -> None:
    opened_window = Opened(qtbot, Preferences(PaletteChoice.LIGHT, text_size))
    opened_window.show()
    opened_window.work()
    opened_window.press(Qt.Key.Key_F1)
    qtbot.wait(150)

    assert unnamed(opened_window.window) == []
    opened_window.window.close()


def _help_panels(opened_window: Opened) -> int:
    return sum(one.accessibleName().endswith("keys and look") for one in opened_window.window.findChildren(QWidget))


def test_the_help_is_not_cut_and_closes_with_the_key_that_opened_it(opened_window: Opened) -> None:
    opened_window.press(Qt.Key.Key_F1)
    while_open = (cut(opened_window.window), _help_panels(opened_window))

    opened_window.press(Qt.Key.Key_F1)
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    assert while_open == ([], 1)
    assert _help_panels(opened_window) == 0


def test_ctrl_and_a_digit_show_its_page_and_a_digit_without_a_page_does_nothing(opened_window: Opened) -> None:
    shown = []
    for key in (Qt.Key.Key_2, Qt.Key.Key_5, Qt.Key.Key_8, Qt.Key.Key_1):
        opened_window.press(key, Qt.KeyboardModifier.ControlModifier)
        shown.append(next(one.name for one in opened_window.pages.made.values() if _is_shown(opened_window, one.name)))

    assert shown == [PageName.FIND, PageName.FIND, PageName.PLAN, PageName.LINE]


def _is_shown(opened_window: Opened, name: PageName) -> bool:
    tops = [one for one in opened_window.window.findChildren(QWidget) if one.accessibleName() == f"top of {name.word}"]
    return any(one.isVisible() for one in tops)


def test_f5_is_the_main_action_of_the_page(opened_window: Opened) -> None:
    opened_window.press(Qt.Key.Key_F5)

    assert opened_window.pages.made[PageName.LINE].main_actions == 1


def test_esc_stops_the_job_and_without_one_does_nothing(opened_window: Opened) -> None:
    opened_window.press(Qt.Key.Key_Escape)
    before = opened_window.feed.commands.stops
    opened_window.work()

    opened_window.press(Qt.Key.Key_Escape)

    assert (before, opened_window.feed.commands.stops) == (0, 1)


def test_esc_closes_what_is_open_before_it_stops_anything(opened_window: Opened) -> None:
    opened_window.work()
    opened_window.press(Qt.Key.Key_F1)

    opened_window.press(Qt.Key.Key_Escape)

    assert opened_window.feed.commands.stops == 0


def test_stop_can_be_pressed_only_while_a_job_runs(opened_window: Opened, qtbot: QtBot) -> None:
    stop = next(one for one in opened_window.window.findChildren(QPushButton) if one.accessibleName() == "Stop")
    before = stop.isEnabled()

    opened_window.work()
    qtbot.wait(150)
    stop.click()

    assert (before, opened_window.feed.commands.stops) == (False, 1)


def test_f6_goes_through_all_panes_and_comes_round(opened_window: Opened) -> None:
    names = []
    for _ in range(6):
        opened_window.press(Qt.Key.Key_F6)
        focused = QApplication.focusWidget()
        names.append(focused.accessibleName() if focused is not None else "")

    assert [name.split(":")[0].split(",")[0] for name in names] == [
        "port",
        "found devices",
        "Line",
        "Port",
        "Line strip",
        "Search",
    ]


def test_tab_goes_from_page_to_strip_to_head_line_to_rail(opened_window: Opened) -> None:
    order = []
    for _ in range(12):
        focused = QApplication.focusWidget()
        order.append(focused.accessibleName() if focused is not None else "")
        opened_window.press(Qt.Key.Key_Tab)

    short = [name.split(":")[0].split(",")[0] for name in order]
    assert short[:5] == ["Search", "port", "found devices", "Line strip", "Port"]
    assert short.index("Find") > short.index("Job")


def test_text_size_follows_its_keys_and_is_kept(opened_window: Opened) -> None:
    opened_window.press(Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
    opened_window.press(Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
    opened_window.press(Qt.Key.Key_Minus, Qt.KeyboardModifier.ControlModifier)

    assert [one.text_size for one in opened_window.kept] == [TextSize.LARGE, TextSize.LARGEST, TextSize.LARGE]


def test_the_focus_stays_where_it_was_when_the_look_changes(opened_window: Opened) -> None:
    opened_window.press(Qt.Key.Key_F6)

    opened_window.press(Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)

    focused = QApplication.focusWidget()
    assert focused is not None
    assert focused.accessibleName() == "port"


def test_the_palette_is_chosen_in_the_help_and_kept(opened_window: Opened) -> None:
    opened_window.press(Qt.Key.Key_F1)
    dark = next(one for one in opened_window.window.findChildren(QPushButton) if one.accessibleName() == "dark")

    dark.click()
    QApplication.processEvents()

    assert opened_window.kept == [Preferences(PaletteChoice.DARK)]
    assert _ground(opened_window) == DARK.ground


def test_a_narrow_window_becomes_wide_again(opened_window: Opened) -> None:
    wide = opened_window.window.grab().toImage().pixelColor(300, 700).name().upper()

    opened_window.show(911, 512)
    opened_window.show(1366, 768)

    assert wide == LIGHT.panel
    assert opened_window.window.grab().toImage().pixelColor(300, 700).name().upper() == wide


def _ground(opened_window: Opened) -> str:
    return opened_window.window.grab().toImage().pixelColor(155, 760).name().upper()


def test_ctrl_o_goes_to_the_choice_of_ports(opened_window: Opened) -> None:
    opened_window.press(Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)

    opened_window.press(Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)

    focused = QApplication.focusWidget()
    assert focused is not None
    assert focused.objectName() == PORT_CHOICE
    assert _is_shown(opened_window, PageName.LINE)


def test_a_mark_is_kept_with_its_words_and_the_moment_of_the_key(opened_window: Opened) -> None:
    opened_window.feed.play_events(BEGAN, line_time_s=1988.0)
    opened_window.press(Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier)
    opened_window.feed.play(line_time_s=1995.0)
    entry = QApplication.focusWidget()
    assert entry is not None
    QTest.keyClicks(entry, "fan started")

    opened_window.press(Qt.Key.Key_Return)

    assert opened_window.feed.commands.sent == [MakeMark("fan started", AtTime(1988.0))]


def test_f5_looks_for_a_lost_port_before_it_acts_on_the_page(opened_window: Opened) -> None:
    page = opened_window.pages.made[PageName.LINE]
    page.send(OpenPort("COM5", SETTINGS))
    opened_window.feed.play_events(BEGAN, opened(), PortFailed("COM5", "gone", 1.0), line_time_s=1.0)

    opened_window.press(Qt.Key.Key_F5)

    assert opened_window.feed.commands.sent == [OpenPort("COM5", SETTINGS), OpenPort("COM5", SETTINGS)]
    assert page.main_actions == 0


def test_each_page_takes_each_item_once_and_is_ticked_while_not_shown(opened_window: Opened, qtbot: QtBot) -> None:
    opened_window.feed.play_events(BEGAN, opened())
    qtbot.wait(250)

    assert [len(page.taken) for page in opened_window.pages.made.values()] == [2, 2, 2]
    assert all(page.ticks >= 1 for page in opened_window.pages.made.values())


def test_the_wait_of_a_search_reaches_the_head_line(opened_window: Opened) -> None:
    page = opened_window.pages.made[PageName.LINE]
    made = StartSearch(SearchPlan((1,), {SETTINGS: 1.0}, wait_s=0.06))
    page.send(made)

    opened_window.feed.play_events(BEGAN, opened())

    head = [one for one in opened_window.window.findChildren(QPushButton) if one.accessibleName().startswith("Port")]
    opened_window.window.repaint()
    QTest.qWait(150)
    assert head[0].accessibleName() == "Port: COM5 · 9600 8N1 · wait 60 ms"
