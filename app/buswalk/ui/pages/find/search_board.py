"""All that is known of a search from the stream: what was asked, who answers, how it stands. No words, no Qt."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias, TypeVar

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    DamagedEcho,
    ExceptionReply,
    ForeignReply,
    NoReply,
    NormalReply,
    NotSent,
    Outcome,
    ShortReply,
    Stopped,
    UnexpectedReply,
)
from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.readdressing.found_moved import all_moved
from buswalk.domain.readdressing.visit_moves import NO_MOVES
from buswalk.domain.search.events import (
    AdapterHearsItself,
    AnswersEverywhere,
    AskedRested,
    Doubt,
    EverythingIsAnswered,
    Found,
    FramingNotCarried,
    GoesBetween,
    LineChatters,
    ListenedFirst,
    LivingLine,
    PassBegan,
    SearchEnd,
    SearchEnded,
    SearchForecast,
    SearchPlan,
    SearchProgress,
    SettingsNotCarried,
    Unclear,
)
from buswalk.domain.search.plan_cost import PlanCost
from buswalk.domain.search.prior import Mistaken, asked_as
from buswalk.domain.search.probe import is_search_request
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, PlanKept, PortFailed, SessionStarted
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.find.search_run import Phase, SearchRun, scope_of

R = TypeVar("R")
SEARCH = "search"
TURNAROUNDS_KEPT = 200
REAL_DOUBTS = frozenset(
    {
        Doubt.ANSWERS_SOMETIMES,
        Doubt.DAMAGED_REPLIES,
        Doubt.SECOND_ANSWER,
        Doubt.ANSWERS_DIFFER,
        Doubt.ANSWERS_AS_ANOTHER,
    }
)
"""Doubts about whether it is one device and always there; the others are habits to know of."""
DISTURBANCES = CorruptReply | ShortReply | ForeignReply | UnexpectedReply | DamagedEcho
"""What came in place of a reply or of silence: after it nothing can be said of the address that was asked."""


class PlanMatch(Enum):
    """How a found device compares with the planned list."""

    NO_PLAN = "no_plan"
    AS_PLANNED = "as_planned"
    OTHER_SETTING = "other_setting"
    NOT_IN_PLAN = "not_in_plan"


@dataclass(frozen=True, slots=True)
class TurnaroundSpan:
    """Turnarounds seen of one device, in seconds."""

    typical_s: float
    shortest_s: float
    longest_s: float


@dataclass(frozen=True, slots=True)
class SettingStand:
    """How one setting stands: distinct requests asked of those planned, devices found."""

    asked: int
    planned: int
    found: int


MistakenOf: TypeAlias = Callable[[Iterable[PlannedDevice]], Mistaken]


def no_mistakes(_planned: Iterable[PlannedDevice]) -> Mistaken:
    """Expect every planned device where the plan wants it."""
    return ()


class SearchBoard:
    """Takes events in order. `run` is the search there is now, or was last."""

    def __init__(self, mistaken_of: MistakenOf = no_mistakes) -> None:
        self._mistaken_of = mistaken_of
        self.planned: dict[int, PlannedDevice] = {}
        self.run = SearchRun()
        self._is_awaited = False
        self._turnarounds: dict[int, deque[Turnaround]] = {}
        self.moves = NO_MOVES
        """Devices that were set to another address or speed in this session."""

    @property
    def mistaken(self) -> Mistaken:
        """Where mistakes at their switches would put the planned devices; a board described later counts from the next
        plan on.
        """
        return self._mistaken_of(self.planned.values())

    def begin(self, plan: SearchPlan) -> None:
        """A search anew: what it asks again is forgotten here (the record keeps it), the rest stands."""
        old, asked = self.run, frozenset(plan.addresses)
        self._is_awaited = True
        self.run = SearchRun(plan=plan)
        self.run.found = {key: one for key, one in old.found.items() if key[0] not in asked}
        self.run.unclear = {key: one for key, one in old.unclear.items() if key[0] not in asked}
        self.run.asked_at = {address: at for address, at in old.asked_at.items() if address not in asked}
        self.run.disturbed_at = {address: at for address, at in old.disturbed_at.items() if address not in asked}
        self.run.all_alike = old.all_alike - asked
        self.run.searched_through = old.searched_through - asked

    def go_on(self, plan: SearchPlan) -> None:
        """The same search goes on, perhaps with other limits."""
        if self.run.plan is None or scope_of(self.run.plan) != scope_of(plan):
            self.run.stops = None
        self.run.plan = plan
        self.run.ended = None
        self._is_awaited = True

    def take(self, event: object, at_s: float) -> None:
        """Take one kept event."""
        self.moves = self.moves.after(event)
        match event:
            case SessionStarted():
                self.planned, self.run, self.moves = {}, SearchRun(), NO_MOVES
                self._turnarounds.clear()
            case PlanKept(devices):
                self.planned = {one.server_address: one for one in devices}
            case JobStarted(name=name) if name == SEARCH:
                self._started(at_s)
            case JobEnded(name=name, end=end, sentence=sentence) if name == SEARCH:
                self._job_ended(end, sentence, at_s)
            case SearchForecast():
                self._forecast(event, at_s)
            case SearchProgress():
                self.run.progress, self.run.progress_at_s = event, at_s
            case PortFailed():
                self.run.asked_now = None
            case ExchangeDone(exchange):
                self._exchange(exchange)
            case _:
                self._search_event(event)

    def _forecast(self, event: SearchForecast, at_s: float) -> None:
        run = self.run
        run.forecast, run.forecast_ran_s = event, run.ran_s(at_s)
        knows = len(run.found) + len(run.unclear) + len(run.everywhere)
        if run.stops is None or knows != run.stops_know or event.whole_s > run.stops.whole_s:
            run.stops, run.stops_know = event, knows

    def _started(self, at_s: float) -> None:
        if not self._is_awaited:  # begun elsewhere, with a plan that is not known here
            self.run = SearchRun()
        self._is_awaited = False
        self.run.phase = Phase.LISTENING
        self.run.running_from_s = at_s
        self.run.living, self.run.end_sentence = None, ""

    def _job_ended(self, end: JobEndKind, sentence: str, at_s: float) -> None:
        run = self.run
        run.ran_before_s = run.ran_s(at_s)
        run.asked_now = None
        run.remarks = tuple(one for one in run.remarks if not isinstance(one, PassBegan | LineChatters))
        run.end_sentence = sentence
        match end:
            case JobEndKind.STOPPED:
                run.phase = Phase.PAUSED
            case JobEndKind.PORT_LOST | JobEndKind.FAILED:
                run.phase = Phase.BROKEN
            case JobEndKind.FINISHED:
                run.phase = self._finished()

    def _finished(self) -> Phase:
        run = self.run
        match run.ended.end if run.ended is not None else SearchEnd.ALL_ASKED:
            case SearchEnd.LIVING_LINE:
                return Phase.HELD
            case SearchEnd.NEVER_QUIET | SearchEnd.OTHER_CLIENT:
                return Phase.GIVEN_UP
            case SearchEnd.ALL_ASKED:
                run.searched_through.update(run.plan.addresses if run.plan is not None else run.asked_at)
                return Phase.DONE

    def _exchange(self, exchange: Exchange) -> None:
        address, run, seen = exchange.server_address, self.run, exchange.turnaround
        is_answer = isinstance(exchange.outcome, NormalReply | ExceptionReply)
        if is_answer and isinstance(seen, Turnaround) and not seen.is_before_request_ended:
            self._turnarounds.setdefault(address, deque(maxlen=TURNAROUNDS_KEPT)).append(seen)
        if not run.phase.is_running:
            return
        run.phase = Phase.ASKING
        if isinstance(exchange.outcome, NoReply):
            run.remarks = tuple(one for one in run.remarks if not isinstance(one, LineChatters))
        settings = asked_as(exchange.settings)
        run.asked_now = (address, settings)
        if is_search_request(address, exchange.request) and not isinstance(exchange.outcome, NotSent):
            run.asked.setdefault(settings, set()).add((address, exchange.request.pdu()))
        if is_search_request(address, exchange.request) and not isinstance(exchange.outcome, NotSent | Stopped):
            run.asked_at.setdefault(address, set()).add(settings)
            self._disturbed(address, settings, exchange.outcome)

    def _disturbed(self, address: int, settings: SerialSettings, outcome: Outcome) -> None:
        """Silence heard once at a setting stands, whatever came before: a request met by noise is asked again."""
        at = self.run.disturbed_at.setdefault(address, set())
        if isinstance(outcome, DISTURBANCES):
            at.add(settings)
        else:
            at.discard(settings)

    def _search_event(self, event: object) -> None:
        run = self.run
        match event:
            case ListenedFirst():
                run.listened = event
            case LivingLine():
                run.living = event
            case (
                SettingsNotCarried()
                | FramingNotCarried()
                | AskedRested()
                | GoesBetween()
                | AdapterHearsItself()
                | PassBegan()
                | LineChatters()
                | EverythingIsAnswered()
            ):
                run.remarks = (*(one for one in run.remarks if type(one) is not type(event)), event)
            case Found(server_address=address, settings=settings):
                run.found[address, settings] = event
                run.unclear.pop((address, settings), None)
            case Unclear(address=address, settings=settings):
                run.unclear[address, settings] = event
            case PlacesLooked():
                now = all_moved(run.found.values(), event)
                run.found = {(one.server_address, one.settings): one for one in now}
            case AnswersEverywhere():
                run.everywhere = (*run.everywhere, event)
                run.all_alike |= frozenset(run.plan.addresses if run.plan is not None else SERVER_ADDRESSES)
            case SearchEnded():
                run.ended = event
            case _:
                pass

    # What follows from it

    def remark(self, kind: type[R]) -> R | None:
        """Return what was said of that kind last, or None."""
        return next((one for one in self.run.remarks if isinstance(one, kind)), None)

    @property
    def plan_addresses(self) -> frozenset[int]:
        """Addresses of the planned list."""
        return frozenset(self.planned)

    @property
    def has_ended(self) -> bool:
        """Whether the search has asked all it had to ask: what is left was made needless by answers."""
        return self.run.phase is Phase.DONE

    @property
    def found_at(self) -> frozenset[SerialSettings]:
        """Settings, as they are asked, at which this search found something."""
        return frozenset(asked_as(one.settings) for one in self.run.found.values())

    def found_in_order(self) -> tuple[Found, ...]:
        """Return what answers, by address, then speed."""
        return tuple(sorted(self.run.found.values(), key=lambda one: (one.server_address, one.settings.baud_rate)))

    def is_in_doubt(self, address: int) -> bool:
        """Return whether what answers at an address may be more than one device, or is not always there."""
        found = [one for one in self.run.found.values() if one.server_address == address]
        if any(REAL_DOUBTS.intersection(one.doubts) for one in found):
            return True
        return any(one.address == address for one in self.run.unclear.values()) and not found

    def match(self, found: Found) -> PlanMatch:
        """Compare a found device with the plan, by its address and setting alone."""
        if not self.planned:
            return PlanMatch.NO_PLAN
        planned = self.planned.get(found.server_address)
        if planned is None:
            return PlanMatch.NOT_IN_PLAN
        if planned.settings is None or asked_as(planned.settings) == asked_as(found.settings):
            return PlanMatch.AS_PLANNED
        return PlanMatch.OTHER_SETTING

    def planned_silent(self) -> tuple[int, ...]:
        """Return planned addresses that were asked everything and said nothing."""
        heard = {address for address, _ in (*self.run.found, *self.run.unclear)}
        states = {one: self._state_unheard(one) for one in self.planned if one not in heard}
        return tuple(sorted(one for one, state in states.items() if state is AddressState.PLANNED_SILENT))

    def state_of(self, address: int) -> AddressState:
        """Return how an address stands."""
        if address not in SERVER_ADDRESSES:
            return AddressState.NO_DEVICE_ADDRESS
        if self.is_in_doubt(address):
            return AddressState.IN_DOUBT
        if any(one == address for one, _ in self.run.found):
            is_planned = address in self.planned or not self.planned
            return AddressState.ANSWERED if is_planned else AddressState.NOT_IN_PLAN
        return self._state_unheard(address)

    def states_of(self, addresses: Iterable[int]) -> tuple[AddressState, ...]:
        """Return how all of them stand: one look at what was found serves the whole picture."""
        looked_at = {address for address, _ in (*self.run.found, *self.run.unclear)}
        return tuple(
            self.state_of(address) if address in looked_at else self._state_unheard(address) for address in addresses
        )

    def _state_unheard(self, address: int) -> AddressState:
        """Return how an address stands at which nothing was heard."""
        if address not in SERVER_ADDRESSES:
            return AddressState.NO_DEVICE_ADDRESS
        run, is_planned = self.run, address in self.planned
        if is_planned and address not in run.searched_through:
            return AddressState.TO_ASK
        asked, disturbed = run.asked_at.get(address, set()), run.disturbed_at.get(address, set())
        if not asked and not is_planned:
            return AddressState.NOT_ASKED
        if address in run.all_alike:
            return AddressState.ALL_ALIKE
        if disturbed and (not is_planned or disturbed == asked):
            return AddressState.DISTURBED
        return AddressState.PLANNED_SILENT if is_planned else AddressState.SILENT

    def functions_asked(self, address: int, settings: SerialSettings) -> frozenset[int]:
        """Return with which functions an address was asked at a setting."""
        return frozenset(pdu[0] for one, pdu in self.run.asked.get(settings, ()) if one == address)

    def stand_of(self, settings: SerialSettings) -> SettingStand:
        """Return how one setting stands in this search."""
        plan = self.run.plan
        planned = PlanCost(plan, found_at=self.found_at).requests().get(settings, 0) if plan is not None else 0
        asked = len(self.run.asked.get(settings, ()))
        found = sum(asked_as(one.settings) == settings for one in self.run.found.values())
        return SettingStand(min(asked, planned) if planned else asked, planned, found)

    def turnaround_of(self, address: int) -> TurnaroundSpan | None:
        """Return the turnarounds seen of a device; None while no answer's time could be taken."""
        seen = self._turnarounds.get(address)
        if not seen:
            return None
        middles = sorted((max(one.not_less_than_s, 0.0) + one.not_more_than_s) / 2.0 for one in seen)
        shortest = min(max(one.not_less_than_s, 0.0) for one in seen)
        return TurnaroundSpan(middles[len(middles) // 2], shortest, max(one.not_more_than_s for one in seen))
