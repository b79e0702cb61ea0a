"""The real window with the pages Line and Plan on a feed that plays: what users see, without any process."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import StreamItem
from buswalk.domain.preferences import Preferences
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.ui.desktop import WindowParts, open_window
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.line.page import LinePage
from buswalk.ui.pages.line.presenter import LineWays
from buswalk.ui.pages.line.view import LineView
from buswalk.ui.pages.page import Page, PageName, ShellActions
from buswalk.ui.pages.plan.list_files import PlanFiles
from buswalk.ui.pages.plan.page import PlanPage
from buswalk.ui.pages.plan.view import PlanView
from buswalk.ui.shell.main_window import MainWindow
from buswalk.ui.sounds import Silence, Sounds
from tests.fakes.played_feed import PlayedFeed
from tests.fakes.styled_application import styled_application

CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier
PLAIN = Qt.KeyboardModifier.NoModifier


class PagedWindow:
    """A window, its feed and its two pages."""

    def __init__(self, qtbot: QtBot, preferences: Preferences) -> None:
        self.feed = PlayedFeed()
        self.searches = 0
        self.to_choose: ChosenList | None = None
        self.saved: list[Sequence[Sequence[str]]] = []
        self.switched: list[PlannedDevice] = []
        parts = WindowParts(self.feed, self._make, preferences, lambda _chosen: "", Silence(), lambda: 0.0)
        self.window: MainWindow = open_window(styled_application(), parts)
        qtbot.addWidget(self.window)

    def _make(self, commands: Commands, actions: ShellActions, sounds: Sounds) -> Sequence[Page]:
        self.line = LinePage(commands, LineWays(self._search, lambda: actions.go_to(PageName.PLAN)))
        self.plan = PlanPage(commands, PlanFiles(lambda: self.to_choose, self._save), self.switched.append)
        return self.line, self.plan

    def _search(self) -> None:
        self.searches += 1

    def _save(self, name: str, rows: Sequence[Sequence[str]]) -> str:
        self.saved.append(rows)
        return f"saved as {name}"

    def show(self, width: int = 1366, height: int = 768) -> None:
        """Show it in a size."""
        self.window.resize(width, height)
        self.window.show()
        self.window.activateWindow()
        self.settle()

    def play(self, items: Sequence[StreamItem], line_time_s: float = 0.0) -> None:
        """Play a stream, and let it be drawn."""
        self.feed.play(*items, line_time_s=line_time_s, factor=10.0)
        self.settle()

    def settle(self) -> None:
        """Let ticks and drawing happen."""
        for _ in range(3):
            self.window.draw_now()
            QApplication.processEvents()

    def press(self, key: Qt.Key, modifier: Qt.KeyboardModifier = PLAIN) -> None:
        """Press a key where the focus is."""
        QTest.keyClick(QApplication.focusWidget() or self.window, key, modifier)
        self.settle()

    def type(self, text: str) -> None:
        """Type where the focus is."""
        focused = QApplication.focusWidget()
        assert focused is not None
        QTest.keyClicks(focused, text)
        self.settle()

    @property
    def line_view(self) -> LineView:
        """The view of Line that is shown."""
        found = self.window.findChild(LineView)
        assert isinstance(found, LineView)
        return found

    @property
    def plan_view(self) -> PlanView:
        """The view of Plan that is shown."""
        found = self.window.findChild(PlanView)
        assert isinstance(found, PlanView)
        return found
