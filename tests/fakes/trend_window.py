"""The real window with the page Trend alone, on a feed that plays; what is worked out is worked out at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from buswalk.bus.queries import Calculation, Query
from buswalk.domain.preferences import Preferences
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.watched_choice import WatchedChoice
from buswalk.domain.trend.export_table import ExportTable
from buswalk.ui.desktop import WindowParts, open_window
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.page import Page, ShellActions
from buswalk.ui.pages.trend.page import TrendPage
from buswalk.ui.pages.trend.view import TrendView
from buswalk.ui.pages.trend.ways import KnownDevice, ReadFile, TrendWays
from buswalk.ui.sounds import Silence, Sounds
from tests.fakes.played_feed import PlayedFeed
from tests.fakes.styled_application import styled_application

PLAIN = Qt.KeyboardModifier.NoModifier


class TrendParts:
    """What the page asks for, remembered."""

    def __init__(self) -> None:
        self.started: list[WatchedChoice] = []
        self.devices: tuple[KnownDevice, ...] = ()
        self.library = ProfileLibrary(())
        self.file: ReadFile | None = None
        self.export_path = ""
        self.saved: list[tuple[str, ExportTable]] = []
        self.calculated: list[Calculation] = []
        self.marked = 0
        self.record_path = ""
        self.records: dict[str, RecordReader] = {}
        self.asked: list[Query] = []
        self.waiting: list[Callable[[], None]] = []
        self.answers_at_once = True
        self.mark: Callable[[], None] = self._count_mark

    def ways(self) -> TrendWays:
        """Return ways that lead here."""
        return TrendWays(
            start=self._start,
            devices=lambda: self.devices,
            library=lambda: self.library,
            calculate=self._calculate,
            ask=self._ask,
            choose_record=lambda: self.record_path,
            mark=lambda: self.mark(),
            choose_list=lambda: self.file,
            choose_export=lambda _suggested: self.export_path,
            save_table=self._save,
        )

    def _count_mark(self) -> None:
        self.marked += 1

    def _ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        """Answer from a reader, at once or when `answer` is called; what is no record is refused."""
        self.asked.append(query)

        def answered() -> None:
            reader = self.records.get(path)
            if reader is None:
                refused("the file is no record of a visit")
            else:
                take(query.answer(reader))

        self.waiting.append(answered)
        if self.answers_at_once:
            self.answer()

    def answer(self) -> None:
        """Answer what was asked so far, and nothing that is asked because of it."""
        waiting, self.waiting = self.waiting, []
        for one in waiting:
            one()

    def _start(self, choice: WatchedChoice) -> str:
        self.started.append(choice)
        return ""

    def _calculate(
        self, calculation: Calculation, take: Callable[[object], None], _refused: Callable[[str], None]
    ) -> None:
        self.calculated.append(calculation)
        take(calculation.result())

    def _save(self, path: str, table: ExportTable, told: Callable[[str], None]) -> None:
        self.saved.append((path, table))
        told("saved")


class TrendWindow:
    """A window, its feed and the page."""

    def __init__(self, preferences: Preferences) -> None:
        self.feed = PlayedFeed()
        self.parts = TrendParts()
        parts = WindowParts(self.feed, self._make, preferences, lambda _chosen: "", Silence(), lambda: 0.0)
        self.window = open_window(styled_application(), parts)

    def _make(self, commands: Commands, actions: ShellActions, sounds: Sounds) -> Sequence[Page]:
        self.parts.mark = actions.mark
        self.page = TrendPage(commands, self.parts.ways())
        return (self.page,)

    def show(self, width: int = 1366, height: int = 768) -> None:
        """Show it in a size."""
        self.window.resize(width, height)
        self.window.show()
        self.window.activateWindow()
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

    @property
    def view(self) -> TrendView:
        """The view that is shown."""
        found = self.window.findChild(TrendView)
        assert isinstance(found, TrendView)
        return found
