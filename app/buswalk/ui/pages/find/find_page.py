"""The page Find as the shell knows it: its views, one desk for jobs, one stream for all. No Qt before a view."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

from buswalk.bus.messages import StreamItem
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.find.exchange_shelf import OlderExchanges
from buswalk.ui.pages.find.explained_stranger import ExplainedStranger
from buswalk.ui.pages.find.ping_presenter import PING, PingPresenter
from buswalk.ui.pages.find.quiet_presenter import WHO_IS_QUIET, QuietPresenter
from buswalk.ui.pages.find.search_board import SEARCH, MistakenOf, no_mistakes
from buswalk.ui.pages.find.search_outlets import SaveCsv, SearchOutlets
from buswalk.ui.pages.find.search_presenter import SearchPresenter
from buswalk.ui.pages.find.search_run import Phase
from buswalk.ui.pages.find.search_state import Act
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.pages.page import KeyHelp, Narrow, PageHelp, PageName, PageView, RailNote, ShellActions
from buswalk.ui.sounds import Sounds
from buswalk.ui.timer_desk import TimerDesk, no_timers
from buswalk.ui.wording import counted

if TYPE_CHECKING:
    from buswalk.ui.look import Look


class FindViews(Enum):
    """The views of the page, in the order of its segment."""

    SEARCH = "Search"
    PING = "Ping"
    WHO_IS_QUIET = "Who is quiet"


HELP = PageHelp(
    "Finds every device on the pair, whatever its address and setting, with reads that change nothing. "
    "Ping asks one device again and again while you look at its wires. "
    "Who is quiet asks all in turn: pull a plug and see who disappears.",
    (
        KeyHelp("Ctrl+G", "go to an address"),
        KeyHelp("Arrows", "walk the addresses; digits go to one, Enter opens it"),
        KeyHelp("Enter", "every exchange of the chosen device, byte by byte"),
        KeyHelp("Backspace", "back from there to the list"),
        KeyHelp("Ctrl+C, Ctrl+Shift+C", "copy the row, copy the bytes"),
        KeyHelp("Ctrl+E", "export the found devices, or what changed"),
        KeyHelp("F2", "move the chosen device to another address or speed: a guided job on Registers"),
        KeyHelp("F4", "to the registers of the chosen device, and back"),
        KeyHelp("F7", "to the switches of the chosen device, or of the one that they explain"),
        KeyHelp("Ctrl+T", "next view: Search, Ping, Who is quiet"),
    ),
)


@dataclass(frozen=True, slots=True)
class FindParts:
    """What the page is handed.

    Attributes:
        save_csv: Given a name to suggest and the text; returns what to say of it, '' where the user chose no file.
        older: Reads the record for exchanges that are no longer in memory; None where there is none.
        show_switches: Shows the switches of the device at an address; 0 leaves the choice.
        explained: Which stranger the switches of a silent planned device explain; asked often, so it is kept.
        show_registers: Shows the registers of the device at an address; 0 leaves the choice.
        mistaken: Where mistakes at their switches would put planned devices.
        timers: Who falls back when nobody asks.
        show_move: Shows the guided job that moves the device at an address; 0 leaves the choice.
    """

    commands: Commands
    actions: ShellActions
    sounds: Sounds
    save_csv: SaveCsv
    older: OlderExchanges | None = None
    show_switches: Callable[[int], None] = lambda _address: None
    explained: Callable[[], ExplainedStranger | None] = lambda: None
    show_registers: Callable[[int], None] = lambda _address: None
    mistaken: MistakenOf = no_mistakes
    timers: TimerDesk = field(default_factory=no_timers)
    show_move: Callable[[int], None] = lambda _address: None


class FindPage:
    """A presenter for each view; changing the view stops nothing."""

    def __init__(self, parts: FindParts) -> None:
        self._parts = parts
        self.desk = JobDesk(parts.commands)
        self.search = SearchPresenter(
            self.desk,
            SearchOutlets(
                choose_port=parts.actions.choose_port,
                save_csv=parts.save_csv,
                ping=self.show_ping,
                older=parts.older,
                show_switches=parts.show_switches,
                explained=parts.explained,
                mistaken=parts.mistaken,
                timers=parts.timers,
                show_move=parts.show_move,
            ),
        )
        beside = parts.timers.beside_words
        self.ping = PingPresenter(self.desk, self.search.board, parts.sounds, beside)
        self.quiet = QuietPresenter(self.desk, self.search.board, parts.sounds, parts.save_csv, beside)
        self.shown = FindViews.SEARCH

    @property
    def name(self) -> PageName:
        """Which page it is."""
        return PageName.FIND

    @property
    def note(self) -> RailNote:
        """Words for the rail."""
        phase = self.search.board.run.phase
        if self.desk.running == SEARCH:
            return RailNote("running")
        if self.desk.running == PING:
            return RailNote(f"ping {self.ping.address}")
        if self.desk.running == WHO_IS_QUIET:
            return RailNote(self.quiet.note)
        if phase is Phase.HELD:
            return RailNote("held")
        if phase is Phase.PAUSED:
            return RailNote("paused")
        return RailNote(self._found_words() if phase in (Phase.DONE, Phase.GIVEN_UP, Phase.BROKEN) else "")

    def _found_words(self) -> str:
        board = self.search.board
        found = {address for address, _ in (*board.run.found, *board.run.unclear)}
        if board.planned:
            return f"{counted(len(found & set(board.planned)))} of {counted(len(board.planned))}"
        return f"{counted(len(found))} found"

    @property
    def help(self) -> PageHelp:
        """What F1 shows."""
        return HELP

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self.desk.take(item)
        self.search.take(item)
        self.ping.take(item)
        self.quiet.take(item)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self.search.tick(line_time_s)
        self.ping.tick(line_time_s)
        self.quiet.tick(line_time_s)

    def main_action(self) -> None:
        """F5: the main action of the view that is shown."""
        match self.shown:
            case FindViews.SEARCH:
                self.search.main_action()
            case FindViews.PING:
                self.ping.main_action()
            case FindViews.WHO_IS_QUIET:
                self.quiet.main_action()

    def begin_search(self) -> None:
        """Show the search and begin it, or go on; a search that runs, or is held, is only shown."""
        self.show_view(FindViews.SEARCH)
        if self.search.state.main.act in (Act.SEARCH, Act.CONTINUE):
            self.search.main_action()

    def to_switches(self) -> None:
        """F7: the switches of the device that is looked at, else of the one that they explain most of."""
        self._parts.show_switches(self.search.address_in_hand)

    def to_registers(self) -> None:
        """F4: the registers of the device that is looked at."""
        self._parts.show_registers(self.search.address_in_hand)

    def to_move(self) -> None:
        """F2: the guided job that moves the device that is looked at."""
        self._parts.show_move(self.search.address_in_hand)

    def show_device(self, address: int) -> None:
        """Come back from its switches or registers: the address is looked at."""
        self.show_view(FindViews.SEARCH)
        self.search.focus_address(address)

    def show_view(self, view: FindViews) -> None:
        """Show another view."""
        self.shown = view

    def show_ping(self, address: int) -> None:
        """Show the ping of an address; it begins when the user says so."""
        self.ping.show(address)
        self.show_view(FindViews.PING)

    def view(self, look: Look, narrow: Narrow) -> PageView:
        """Make a view of this page."""
        from buswalk.ui.pages.find.find_view import FindView

        return FindView(look, narrow, self)
