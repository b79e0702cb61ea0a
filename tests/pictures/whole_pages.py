"""Whole pages for the README: the real window and pages on what the real engine says of the demo line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path

from PySide6.QtWidgets import QApplication

from buswalk.bus.messages import StartSearch, StreamItem
from buswalk.bus.queries import Calculation, Query
from buswalk.domain.preferences import PaletteChoice, Preferences
from buswalk.domain.presence.events import PresenceRound
from buswalk.domain.visit.session_events import JobEnded
from buswalk.ui.desktop import WindowParts, open_window
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.faults.page import FaultsPage
from buswalk.ui.pages.find.find_page import FindPage, FindViews
from buswalk.ui.pages.page import Page, PageName, ShellActions
from buswalk.ui.sounds import Silence, Sounds
from buswalk.window_pages import WindowPages
from tests.fakes.demo_items import SHORT_SEARCH, demo_items
from tests.fakes.played_feed import PlayedFeed
from tests.fakes.styled_application import close_for_good
from tests.pictures.watched_greenhouse import ReadsWatched, show_damage, watched_items
from tests.ui.pages.find.find_stage import living_stream, until
from tests.ui.pages.find.test_quiet_presenter import quiet_stream

WIDTH, HEIGHT = 1366, 768
AT_ONCE = 200
SETTLES = 3
FACTOR = 10.0
ROUND_WITH_CABLE_OPEN = 7


class FindMoment(Enum):
    """What is played for the page Find."""

    SEARCH = "search"
    QUIET = "quiet"
    """Who is quiet, while the cable is open behind one device."""
    LIVE = "live"
    """A search that another client holds."""


@dataclass(frozen=True, slots=True)
class PageScene:
    """One page at one moment.

    Attributes:
        has_searched: After a search of the planned addresses and some others.
        leads_to_switches: F7 was pressed on Find.
        is_watched: After a watch of all planned devices, read back from its record.
        find: What Find shows.
    """

    name: str
    page: PageName
    has_searched: bool
    leads_to_switches: bool = False
    is_watched: bool = False
    find: FindMoment = FindMoment.SEARCH


SCENES = (
    PageScene("line", PageName.LINE, has_searched=False),
    PageScene("find", PageName.FIND, has_searched=True),
    PageScene("find-quiet", PageName.FIND, has_searched=True, find=FindMoment.QUIET),
    PageScene("find-live", PageName.FIND, has_searched=True, find=FindMoment.LIVE),
    PageScene("switches", PageName.FIND, has_searched=True, leads_to_switches=True),
    PageScene("faults", PageName.FAULTS, has_searched=False, is_watched=True),
    PageScene("plan", PageName.PLAN, has_searched=True),
)


class NoRecord:
    """Nothing is read back for a picture."""

    def ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        """Never asked."""

    def calculate(
        self, calculation: Calculation, take: Callable[[object], None], refused: Callable[[str], None]
    ) -> None:
        """Never asked."""


@cache
def _items(*, has_searched: bool) -> tuple[StreamItem, ...]:
    return tuple(demo_items(*((StartSearch(SHORT_SEARCH),) if has_searched else ())))


def _items_of(scene: PageScene) -> tuple[StreamItem, ...]:
    match scene.find:
        case FindMoment.QUIET:
            return until(quiet_stream(), PresenceRound, ROUND_WITH_CABLE_OPEN)
        case FindMoment.LIVE:
            return until(living_stream(), JobEnded)
        case FindMoment.SEARCH:
            return watched_items() if scene.is_watched else _items(has_searched=scene.has_searched)


def draw_page(application: QApplication, scene: PageScene, palette: PaletteChoice, folder: Path) -> Path:
    """Open the window, play the stream in batches as a window gets it, go to the page, keep the picture."""
    feed = PlayedFeed()
    pages = WindowPages(ReadsWatched() if scene.is_watched else NoRecord(), Silence())
    shell: list[ShellActions] = []
    made: list[Page] = []

    def make(commands: Commands, actions: ShellActions, sounds: Sounds) -> Sequence[Page]:
        shell.append(actions)
        made.extend(pages.make(commands, actions, sounds))
        return made

    parts = WindowParts(feed, make, Preferences(palette), lambda _changed: "", Silence(), lambda: 0.0)
    feed.connect_batches(pages.take)
    window = open_window(application, parts)
    window.resize(WIDTH, HEIGHT)
    window.show()
    shell[0].go_to(scene.page)
    items = _items_of(scene)
    for batch in _batches(items):
        feed.play(*batch, line_time_s=_time_of(batch), factor=FACTOR)
        window.draw_now()
        application.processEvents()
    for page in made:
        if isinstance(page, FindPage) and scene.find is FindMoment.QUIET:
            page.show_view(FindViews.WHO_IS_QUIET)
        if scene.leads_to_switches and isinstance(page, FindPage):
            page.to_switches()
        if scene.is_watched and isinstance(page, FaultsPage):
            show_damage(page)
    for _ in range(SETTLES):
        window.draw_now()
        application.processEvents()
    path = folder / f"{scene.name}-{palette.value}.png"
    window.grab().save(str(path))
    close_for_good(window)
    return path


def _batches(items: Sequence[StreamItem]) -> list[Sequence[StreamItem]]:
    return [items[at : at + AT_ONCE] for at in range(0, len(items), AT_ONCE)]


def _time_of(batch: Sequence[StreamItem]) -> float:
    return max((getattr(item, "at_s", 0.0) for item in batch), default=0.0)
