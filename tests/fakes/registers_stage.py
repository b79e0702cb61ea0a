"""A controller and its list, told as the stream tells them; the page Registers alone in the real window."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from buswalk.bus.messages import (
    Kept,
    StreamItem,
)
from buswalk.bus.write_messages import WritingTold
from buswalk.domain.preferences import Preferences
from buswalk.domain.registers.point import Access, Between, NamedValue, Point, WriteType
from buswalk.domain.registers.profile import AnswersWith, RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.samples import PointsWatched, Quality, Sample, SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import INT16, UINT16, Layout, ValueType, WordOrder
from buswalk.domain.registers.writing.events import OldRead, ReadBack, WriteAnswer, WriteBegun, Written
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace
from buswalk.domain.registers.writing.verdict import Verdict
from buswalk.domain.search.events import Found, Identity
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import JobStarted, PlanKept
from buswalk.domain.watching.events import PointRefused
from buswalk.ui.desktop import WindowParts, open_window
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.page import Page, ShellActions
from buswalk.ui.pages.registers.page import RegistersPage
from buswalk.ui.pages.registers.view import RegistersView
from buswalk.ui.pages.registers.ways import RegistersWays
from buswalk.ui.sounds import Silence, Sounds
from tests.fakes.played_feed import PlayedFeed
from tests.fakes.styled_application import styled_application
from tests.fakes.told_line import USUAL, copper_opened, found, kept

HOLDING, INPUT = Table.HOLDING_REGISTERS, Table.INPUT_REGISTERS
FLOAT_LOW_FIRST = ValueType(Layout.FLOAT, 32, WordOrder.LOW_FIRST)
TENTH, THOUSANDTH = Decimal("0.1"), Decimal("0.001")
SUPPLY = Point("supply_air", INPUT, 0, INT16, "Supply air", TENTH, unit="°C", decimals=1, sentinels=(0x8000,))
PIPE = Point("pipe", INPUT, 1, INT16, "Pipe", TENTH, unit="°C", decimals=1, sentinels=(0x8000,))
VALVE = Point(
    "mixing_valve",
    HOLDING,
    0,
    UINT16,
    "Mixing valve",
    THOUSANDTH,
    unit="V",
    range=Between(Decimal(0), Decimal(10)),
    decimals=3,
    access=Access.READ_WRITE,
    caution="The valve moves at once: see that its place is clear.",
)
MODE = Point(
    "mode",
    HOLDING,
    5,
    UINT16,
    "Mode",
    named=(NamedValue(0, "off"), NamedValue(1, "automatic")),
    access=Access.READ_WRITE,
    write_type=WriteType.EEPROM,
)
CO2 = Point(
    "carbon_dioxide",
    HOLDING,
    102,
    FLOAT_LOW_FIRST,
    "CO2 of 21, mirrored",
    unit="ppm",
    range=Between(Decimal(300), Decimal(5000)),
    decimals=1,
)
HUMIDITY = Point("humidity", HOLDING, 130, UINT16, "Humidity of 24", TENTH, unit="% rH", decimals=1)
ALARMS = Point("alarms", HOLDING, 140, UINT16, "Alarms", clears_on_read=True)
POINTS = (SUPPLY, PIPE, VALVE, MODE, CO2, HUMIDITY, ALARMS)
CONTROLLER = RegisterProfile("controller-p", "controller P", POINTS, fingerprint=(AnswersWith("P-5-6-2-1"),))
OTHER = RegisterProfile("room-sensor", "room sensor", (SUPPLY,))
LIBRARY = ProfileLibrary((OTHER, CONTROLLER))
BAY_1 = PlannedDevice(1, 11, "controller P, bay 1", USUAL)
WORDS = {
    "supply_air": (0x00D7,),
    "pipe": (0x8000,),
    "mixing_valve": (0x1194,),
    "mode": (1,),
    "carbon_dioxide": (0x199A, 0x4419),
}
"""0x4419199A is 612.4 as IEEE 754 binary32 (worked with struct)."""
OPEN = WritingTold(is_open=True, reason="balancing, bay 1 clear", left_s=252.0)


def controller_found() -> Found:
    """Return the controller as a search finds it."""
    plain = found(11)
    identity = Identity(server_id=b"Example Controls P-5-6-2-1 2.4", profiles=("controller-p",))
    return replace(plain, identity=identity)


def told() -> list[Kept]:
    """Return a port with the controller found and planned, nothing read."""
    return [*copper_opened(), *kept(PlanKept((BAY_1,), 0.0), controller_found())]


def samples(at_s: float, words: dict[str, tuple[int, ...]], exchange: int = 50) -> SamplesTaken:
    """Return what one exchange told."""
    taken = tuple(_sample(name, one) for name, one in words.items())
    return SamplesTaken(exchange, 11, USUAL, taken, at_s, 0.001)


def _sample(name: str, words: tuple[int, ...]) -> Sample:
    is_none = words == (0x8000,)
    return Sample(name, words, math.nan if is_none else 1.0, Quality.NO_VALUE if is_none else Quality.GOOD)


def read(at_s: float = 10.0) -> list[Kept]:
    """Return one round of reading: two tables, one refusal."""
    refused = Sample("humidity", (), math.nan, Quality.REFUSED)
    return [
        *told(),
        *kept(
            JobStarted(1, "watch", 9.0),
            PointsWatched(11, USUAL, "controller-p", POINTS[:-1], 9.5),
            samples(at_s, WORDS),
            SamplesTaken(51, 11, USUAL, (refused,), at_s, 0.001),
            PointRefused(11, USUAL, "humidity", 2, told_before=False, at_s=at_s),
        ),
    ]


def written() -> list[StreamItem]:
    """4.5 V to 5 V, held at 0 and 2 s."""
    intended = IntendedWrite(11, USUAL, KnownPlace(VALVE), (5000,))
    return [
        *kept(
            WriteBegun(1, intended, OldRead((0x1194,), 60), "balancing", 20.0),
            Written(1, 61, 6, WriteAnswer.CONFIRMED, 0, 20.0),
            ReadBack(1, 0.0, 62, (5000,), Verdict.HELD, 20.1),
            ReadBack(1, 2.0, 63, (5000,), Verdict.HELD, 22.1),
        )
    ]


class RegistersParts:
    """What the page asks for, remembered."""

    def __init__(self, library: ProfileLibrary = LIBRARY) -> None:
        self.library = library
        self.went: list[str] = []
        self.saved: list[RegisterProfile] = []
        self.to_choose: ChosenList | None = None
        self.sheets: dict[str, ChosenList] = {}
        self.exported: list[tuple[str, list[Sequence[str]]]] = []

    def ways(self) -> RegistersWays:
        """Return ways that lead here."""
        return RegistersWays(
            library=lambda: self.library,
            save_profile=self._save,
            choose_points=lambda: self.to_choose,
            read_sheet=lambda _path, sheet: self.sheets[sheet],
            save_points=self._export,
            search=lambda: self.went.append("search"),
            to_trend=lambda: self.went.append("trend"),
            to_switches=lambda address: self.went.append(f"switches {address}"),
            to_device=lambda address: self.went.append(f"device {address}"),
        )

    def _save(self, profile: RegisterProfile) -> str:
        self.saved.append(profile)
        return f"Kept as {profile.name}.toml."

    def _export(self, suggested: str, rows: Iterable[Sequence[str]]) -> str:
        self.exported.append((suggested, list(rows)))
        return f"saved as {suggested}"


class RegistersWindow:
    """A window, its feed and the page."""

    def __init__(self, preferences: Preferences) -> None:
        self.feed = PlayedFeed()
        self.parts = RegistersParts()
        parts = WindowParts(self.feed, self._make, preferences, lambda _chosen: "", Silence(), lambda: 0.0)
        self.window = open_window(styled_application(), parts)

    def _make(self, commands: Commands, actions: ShellActions, sounds: Sounds) -> Sequence[Page]:
        self.page = RegistersPage(commands, self.parts.ways())
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

    def play(self, items: Sequence[StreamItem], line_time_s: float) -> None:
        """Play items."""
        self.feed.play(*items, line_time_s=line_time_s)
        self.settle()

    def press(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """Press a key where the focus is."""
        QTest.keyClick(QApplication.focusWidget() or self.window, key, modifier)
        self.settle()

    def type(self, words: str) -> None:
        """Type where the focus is."""
        QTest.keyClicks(QApplication.focusWidget() or self.window, words)

    @property
    def view(self) -> RegistersView:
        """The view that is shown."""
        shown = self.window.findChild(RegistersView)
        assert isinstance(shown, RegistersView)
        return shown
