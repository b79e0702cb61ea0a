"""Decides what the view Search shows and which commands follow from what the user does. No Qt."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Kept, MakeMark, StartListening, StartSearch, StreamItem
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, SettingsApplied, StrayArrival
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.loss_timers.unasked import Countdown
from buswalk.domain.search.events import AmongOthers, Depth, SearchPlan, Verdict
from buswalk.domain.search.next_search import next_search
from buswalk.domain.search.plan_cost import CostRates
from buswalk.domain.visit.session_events import JobEnded, JobStarted, PortOpened, SessionStarted, TraitsLearnt
from buswalk.ui.band_state import BandState
from buswalk.ui.pages.find.address_words import addresses_state, spoken_address
from buswalk.ui.pages.find.cost_words import side_state
from buswalk.ui.pages.find.details_presenter import DetailsPresenter, DetailsSources
from buswalk.ui.pages.find.exchange_shelf import ExchangeShelf
from buswalk.ui.pages.find.explained_stranger import with_switches_step
from buswalk.ui.pages.find.found_list import found_csv, found_state
from buswalk.ui.pages.find.heard_beside import HeardBeside
from buswalk.ui.pages.find.known import Known, WrongAddresses, plan_of, typed_addresses
from buswalk.ui.pages.find.known_words import KnownLists, known_state
from buswalk.ui.pages.find.listening_words import listening_words
from buswalk.ui.pages.find.other_client_words import (
    LISTEN_ON_S,
    HeardClient,
    held_up_band,
    living_band,
    other_client_state,
    with_held_up,
)
from buswalk.ui.pages.find.search_actions import LISTEN, search_actions
from buswalk.ui.pages.find.search_board import SEARCH, SearchBoard
from buswalk.ui.pages.find.search_outlets import SearchOutlets
from buswalk.ui.pages.find.search_run import Phase
from buswalk.ui.pages.find.search_state import Act, Action, OtherClientState, SearchState
from buswalk.ui.pages.find.search_words import (
    SearchFacts,
    line_band,
    sentence,
    steps_state,
)
from buswalk.ui.pages.find.settings_words import settings_state
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.tones import Tone
from buswalk.ui.wording import stamp

LISTEN_SHORT_S = 10.0
LISTENING_SETTINGS = SerialSettings.of(9600, "8N1")
LISTEN_AGAIN_AFTER_S = 60.0
"""A search that was paused for longer listens again before it goes on: somebody may have come."""
CSV_NAME = "found devices"
IN_PAUSES_MARK = "search among another client's requests: the user says the people here know"
TAKE_OVER_MARK = "line taken over from another client: the user says its people have switched it off"


class SearchPresenter:
    """Takes the stream, holds what the user chose, gives the state."""

    def __init__(self, desk: JobDesk, outlets: SearchOutlets) -> None:
        self._desk = desk
        self._outlets = outlets
        self.board = SearchBoard(outlets.mistaken)
        self.shelf = ExchangeShelf()
        self._details = DetailsPresenter(DetailsSources(self.board, self.shelf, outlets.older))
        self._known = self._searched = Known()
        self._beside = HeardBeside()
        self._is_confirmed = False
        self._is_asking = False
        """Whether it was asked to take the line over, and the question is open."""
        self._traits: LineTraits | None = None
        self._now_s = 0.0
        self._paused_at_s = 0.0
        self._focused = 1
        self._is_walked = False
        self._typing: str | None = None
        self._typing_problem = ""
        self._heard_words = ""
        self._said = ""
        self._timers_told = outlets.timers.version
        self._held_up: tuple[Countdown, ...] = ()
        self._state: SearchState | None = None

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item; `desk` has taken it already."""
        self._state = None
        if not isinstance(item, Kept):
            return
        self.board.take(item.event, item.at_s)
        match item.event:
            case SessionStarted():
                self._begin_session()
            case PortOpened(traits=traits) | TraitsLearnt(traits=traits):
                self._traits = traits
            case ExchangeDone(exchange):
                self.shelf.take(exchange)
            case StrayArrival() | SettingsApplied():
                self._beside.take(item.event)
            case ListeningEnded():
                self._heard_words = listening_words(item.event)
            case JobStarted(at_s=at_s):
                self._said = self._heard_words = ""
                if self.board.run.phase is not Phase.HELD:
                    self._beside.begin(at_s)
            case JobEnded(name=name, at_s=at_s) if name == SEARCH:
                self._paused_at_s = at_s
                self._said = ""
            case _:
                pass

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = line_time_s
        held_up, told = self._outlets.timers.held_up(line_time_s), self._timers_told
        self._timers_told = self._outlets.timers.version
        if held_up or self._held_up or told != self._timers_told:
            self._held_up, self._state = held_up, None
        if self.board.run.phase.is_running or self._desk.running:
            self._state = None

    def _begin_session(self) -> None:
        self.shelf.clear()
        self._details.close()
        self._beside = HeardBeside()
        self._traits = None
        self._heard_words = self._said = ""

    # What the user does

    def choose_speed(self, index: int) -> None:
        """Choose a speed from the list."""
        self._know(KnownLists(self._known, self.board.plan_addresses).with_speed(index))

    def choose_framing(self, index: int) -> None:
        """Choose a framing from the list."""
        self._know(KnownLists(self._known, self.board.plan_addresses).with_framing(index))

    def choose_addresses(self, index: int) -> None:
        """Choose addresses from the list; its last entry lets them be typed."""
        lists = KnownLists(self._known, self.board.plan_addresses)
        if lists.is_typing_entry(index):
            self._typing, self._state = ", ".join(map(str, self._known.typed[:12])), None
        else:
            self._know(lists.with_addresses(index))

    def choose_line_is(self, index: int) -> None:
        """Choose what this line is."""
        self._know(KnownLists(self._known, self.board.plan_addresses).with_line_is(index))

    def choose_depth(self, index: int) -> None:
        """Choose a quick or a thorough search."""
        self._know(KnownLists(self._known, self.board.plan_addresses).with_depth(index))

    def type_addresses(self, text: str) -> None:
        """Take typed addresses; an empty text goes back to the list."""
        self._state = None
        if not text.strip():
            self._typing, self._typing_problem = None, ""
            return
        try:
            typed = typed_addresses(text)
        except WrongAddresses as problem:
            self._typing, self._typing_problem = text, f"{problem}."
            return
        self._typing, self._typing_problem = None, ""
        self._know(KnownLists(self._known, self.board.plan_addresses).with_typed(typed))

    def _know(self, known: Known) -> None:
        self._known = known
        self._state = None

    def focus_address(self, address: int) -> None:
        """Explain another address."""
        self._focused = address
        self._is_walked = True
        self._state = None

    @property
    def address_in_hand(self) -> int:
        """The address that is looked at; 0 before any is chosen."""
        if self._details.address:
            return self._details.address
        return self._focused if self._is_walked else 0

    def choose_exchange(self, number: int) -> None:
        """Show the bytes of another exchange."""
        self._details.choose(number)
        self._state = None

    def confirm(self, *, is_confirmed: bool) -> None:
        """The people here know, or not."""
        self._is_confirmed = is_confirmed
        self._state = None

    def open_details(self, address: int) -> None:
        """Show the details of an address."""
        self._details.open(address)
        self.focus_address(address)
        self._state = None

    def close_details(self) -> None:
        """Show the found devices again."""
        self._details.close()
        self._state = None

    def main_action(self) -> None:
        """F5."""
        self.act(self.state.main)

    def act(self, action: Action) -> None:
        """Do what a button says."""
        self._state = None
        if action.refusal:
            return
        match action.act:
            case Act.SEARCH | Act.SEARCH_ANEW:
                self._know(replace(self._known, may_probe_living_line=False))
                self._search()
            case Act.SEARCH_THOROUGHLY:
                self._search_thoroughly()
            case Act.SEARCH_IN_PAUSES:
                self._search_among_others(AmongOthers.IN_PAUSES, IN_PAUSES_MARK)
            case Act.TAKE_OVER | Act.LEAVE_IT:
                self._is_asking = action.act is Act.TAKE_OVER
            case Act.TAKE_OVER_NOW:
                self._search_among_others(AmongOthers.TAKES_OVER, TAKE_OVER_MARK)
            case Act.CONTINUE:
                self._continue()
            case Act.PAUSE | Act.STOP:
                self._desk.stop()
            case Act.LISTEN:
                self._desk.start(StartListening(LISTEN_SHORT_S, LISTENING_SETTINGS), _nothing)
            case Act.LISTEN_ON:
                self._desk.start(StartListening(LISTEN_ON_S, self._listened_at()), _nothing)
            case Act.CHOOSE_PORT:
                self._outlets.choose_port()
            case Act.EXPORT:
                self._said = _sentence(self._outlets.save_csv(CSV_NAME, found_csv(self.board)))
            case Act.PING:
                self._outlets.ping(action.address)
            case Act.OPEN:
                self.open_details(action.address)
            case Act.CLOSE_DETAILS:
                self.close_details()
            case Act.OLDER:
                self._details.read_older()
            case Act.SWITCHES:
                self._outlets.show_switches(action.address)
            case Act.MOVE:
                self._outlets.show_move(action.address)
            case Act.START_PING | Act.ASK_IN_TURN:
                pass

    def _plan(self) -> SearchPlan:
        return plan_of(self._known, self.board.plan_addresses, self.board.mistaken)

    def _chosen(self) -> SearchPlan:
        """Return the plan of the search there is until the user has chosen otherwise."""
        old = self.board.run.plan
        return old if old is not None and self._known == self._searched else self._plan()

    def _search(self) -> None:
        plan = self._plan()
        self._searched = self._known
        self._is_confirmed = self._is_asking = False
        self._desk.start(StartSearch(plan), lambda: self.board.begin(plan))

    def _search_thoroughly(self) -> None:
        """Anew: what was found quickly is looked at once more, for a second device that is slower."""
        plan = self.board.run.plan
        following = next_search(plan, self.board.found_at, self._rates()) if plan is not None else None
        if following is not None:
            speeds = following.speeds
            self._know(replace(self._known, baud_rates=speeds, depth=Depth.THOROUGH, may_probe_living_line=False))
            self._search()

    def _search_among_others(self, among_others: AmongOthers, words: str) -> None:
        """The choice is kept before anything follows from it; what was asked before is not asked again."""
        living = self.board.run.living
        self._desk.send(MakeMark(f"{words} ({living.verdict.value if living is not None else ''})"))
        self._know(replace(self._known, may_probe_living_line=True, among_others=among_others))
        if not self.board.run.requests_asked:
            self._search()
            return
        self._is_confirmed = self._is_asking = False
        plan, self._searched = self._plan(), self._known
        self._desk.start(StartSearch(plan, goes_on=True), lambda: self.board.go_on(plan))

    def _continue(self) -> None:
        plan, self._searched = self._plan(), self._known
        if self._now_s - self._paused_at_s < LISTEN_AGAIN_AFTER_S and self.board.run.phase is Phase.PAUSED:
            plan = replace(plan, listen_s=0.0)
        self._desk.start(StartSearch(plan, goes_on=True), lambda: self.board.go_on(plan))

    def _listened_at(self) -> SerialSettings:
        listened = self.board.run.listened
        return self._beside.settings_or(listened.settings if listened is not None else LISTENING_SETTINGS)

    # What is shown

    def spoken_address(self, address: int) -> str:
        """Return what a reader says of a cell of the picture."""
        return spoken_address(self.board, address)

    @property
    def state(self) -> SearchState:
        """Everything as shown now."""
        if self._state is None:
            self._state = self._made()
        return self._state

    def _made(self) -> SearchState:
        facts = self._facts()
        words = self._said or self._typing_problem or sentence(facts, self._heard_words)
        is_wrong = bool(self._typing_problem and not self._said)
        main, others = search_actions(self._desk, self.board, self._chosen())
        return SearchState(
            sentence=words,
            sentence_tone=Tone.DOUBT if is_wrong else Tone.INK2,
            main=main,
            others=others,
            band=self._band(),
            known=known_state(
                KnownLists(self._known, self.board.plan_addresses),
                is_fixed=self.board.run.phase.is_running,
                typing=self._typing,
                problem=self._typing_problem,
            ),
            side=side_state(facts),
            addresses=addresses_state(self.board, self._focused, is_walked=self._is_walked),
            settings=settings_state(self.board, self._known),
            found=found_state(self.board, self._focused if self._is_walked else 0),
            steps=with_switches_step(steps_state(facts), self.board, self.address_in_hand, self._outlets.explained),
            other_client=self._other_client(),
            details=self._details.state(self._desk.wall_time),
        )

    def _facts(self) -> SearchFacts:
        return SearchFacts(self.board, self._desk, self._known, self._searched, self._rates(), self._now_s)

    def _rates(self) -> CostRates:
        return CostRates() if self._traits is None else CostRates.of(self._traits)

    def _band(self) -> BandState | None:
        living = self.board.run.living
        if self.board.run.phase is Phase.HELD and living is not None:
            asked = self.board.run.requests_asked
            band = living_band(living, self._beside.overheard, asked, is_listening=self._desk.running == LISTEN)
            return with_held_up(band, self._held_up)
        return held_up_band(self._held_up) if self._held_up else line_band(self.board)

    def _other_client(self) -> OtherClientState | None:
        living = self.board.run.living
        if living is None or living.verdict is Verdict.HELD or self.board.run.phase is not Phase.HELD:
            return None
        wall = self._desk.wall_time
        heard = f"heard from {stamp(wall, self._beside.from_s)} to {stamp(wall, self._beside.to_s)}" if wall else ""
        timers = self._outlets.timers.timers()
        client = HeardClient(living, self._beside.overheard, self._listened_at(), self.board.planned, timers)
        return other_client_state(client, heard, is_confirmed=self._is_confirmed, is_asking=self._is_asking)


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:].rstrip('.')}." if words else ""


def _nothing() -> None:
    """Listening changes nothing of the search."""
