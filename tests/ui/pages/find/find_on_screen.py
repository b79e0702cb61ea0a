"""The page Find in a window of its own, drawn without a screen, and the states it can be in on real streams."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.presence.events import PresenceRound, WentQuiet
from buswalk.domain.search.events import AnswersEverywhere, Doubt, FramingNotCarried, SearchEnd, Unclear
from buswalk.domain.search.ping import Pinged
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, PlanKept
from buswalk.ui.look import Look
from buswalk.ui.pages.find.find_page import FindPage, FindParts, FindViews
from buswalk.ui.pages.find.find_view import FindView
from buswalk.ui.pages.page import Narrow, PageName, ShellActions
from tests.fakes.heard_tones import HeardTones
from tests.fakes.sent_commands import SentCommands
from tests.ui.pages.find.find_stage import (
    ASKED_AS_PLAIN,
    GREENHOUSE_PLAN,
    ended,
    found,
    greenhouse_stream,
    living_stream,
    opened_stream,
    until,
)
from tests.ui.pages.find.test_ping_presenter import pinged_stream
from tests.ui.pages.find.test_quiet_presenter import quiet_stream

BIG, USUAL, SMALL = (1740, 930), (1186, 640), (769, 380)
"""Room of the page in a window of 1920x1080, 1366x768 and 911x512."""


class Shown:
    """The page with its view in a window of its own."""

    def __init__(self, qtbot: QtBot, look: Look, room: tuple[int, int]) -> None:
        self.commands = SentCommands()
        self.saved: list[str] = []
        self.went_to: list[PageName] = []
        actions = ShellActions(self.went_to.append, lambda: self.went_to.append(PageName.LINE), lambda: None)
        self.page = FindPage(FindParts(self.commands, actions, HeardTones(), self._save))
        self.view: FindView = self._made(look, room)
        qtbot.addWidget(self.view)
        self.view.resize(*room)
        self.view.show()
        qtbot.waitExposed(self.view)

    def _made(self, look: Look, room: tuple[int, int]) -> FindView:
        view = self.page.view(look, Narrow.YES if room == SMALL else Narrow.NO).widget()
        assert isinstance(view, FindView)
        return view

    def _save(self, name: str, text: str) -> str:
        self.saved.append(text)
        return f"saved as {name}.csv"

    def play(self, stream: Sequence[StreamItem]) -> Shown:
        """Take a stream and draw; return itself."""
        for item in stream:
            self.page.take(item)
        self.page.tick(max((item.at_s for item in stream if isinstance(item, Kept)), default=0.0))
        return self.draw()

    def draw(self) -> Shown:
        """Draw what has changed, layouts included; return itself."""
        for _ in range(2):
            self.view.refresh()
            QApplication.processEvents()
        return self

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """Press a key where the focus is, and draw."""
        target = QApplication.focusWidget()
        assert target is not None
        QTest.keyClick(target, key, modifier)
        self.draw()


def nothing(shown: Shown) -> None:
    shown.draw()


def ready(shown: Shown) -> None:
    shown.play(opened_stream())


def running(shown: Shown) -> None:
    shown.play(opened_stream())
    shown.page.search.board.begin(GREENHOUSE_PLAN)
    begun = len(until(greenhouse_stream(), PlanKept))
    shown.play(until(greenhouse_stream(), ExchangeDone, 120)[begun:])


def done(shown: Shown) -> None:
    shown.play(opened_stream())
    shown.page.search.board.begin(GREENHOUSE_PLAN)
    shown.play(until(greenhouse_stream(), JobEnded)[len(until(greenhouse_stream(), PlanKept)) :])


def details(shown: Shown) -> None:
    done(shown)
    shown.page.search.open_details(51)
    shown.draw()


def doubtful(shown: Shown) -> None:
    """Found devices with every doubt there is, one address that is unclear, a gateway."""
    running(shown)
    events: list[object] = [found(100 + at, *pair) for at, pair in enumerate(combinations(Doubt, 2))]
    events.append(Unclear(99, ASKED_AS_PLAIN, "bytes come each time, never a whole frame", (3,)))
    events.append(AnswersEverywhere(ASKED_AS_PLAIN, (11, 173, 211, 94), 50, 0x0B))
    events.append(FramingNotCarried((ASKED_AS_PLAIN,)))
    shown.play([Kept(0, event, 60.0) for event in events])


def given_up(shown: Shown) -> None:
    """The line was never quiet."""
    shown.play(opened_stream())
    shown.page.search.board.begin(GREENHOUSE_PLAN)
    sentence = "the line chatters without end: bytes that are no reply follow every request, whoever is asked"
    last = JobEnded(1, "search", JobEndKind.FINISHED, "", 1.0)
    events = (JobStarted(1, "search", 0.0), ended(SearchEnd.NEVER_QUIET, sentence), last)
    shown.play([Kept(0, event, 1.0) for event in events])


def living(shown: Shown) -> None:
    shown.play(until(living_stream(), JobEnded))


def pinging(shown: Shown) -> None:
    done(shown)
    shown.page.show_ping(24)
    begun = len(until(pinged_stream(24), PlanKept))
    shown.play(until(pinged_stream(24), Pinged, 40)[begun:])


def quiet_ready(shown: Shown) -> None:
    ready(shown)
    shown.page.show_view(FindViews.WHO_IS_QUIET)
    shown.draw()


def gone_quiet(shown: Shown) -> None:
    """Three hang behind an opened place."""
    done(shown)
    shown.page.show_view(FindViews.WHO_IS_QUIET)
    begun = len(until(quiet_stream(), PlanKept))
    shown.play(until(quiet_stream(), PresenceRound, 6)[begun:])


def many_quiet(shown: Shown) -> None:
    """All of them."""
    gone_quiet(shown)
    base = shown.page.quiet.board.base
    assert base is not None
    shown.play([Kept(0, WentQuiet(one, ASKED_AS_PLAIN, 50.0, 52.0), 52.0) for one in base.answering])


STATES = [
    nothing,
    ready,
    running,
    doubtful,
    done,
    given_up,
    details,
    living,
    pinging,
    quiet_ready,
    gone_quiet,
    many_quiet,
]
