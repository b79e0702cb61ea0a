"""What the view Search shows, finished: every word and number with its unit. Frozen values, no Qt."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.ui.address_states import AddressState
from buswalk.ui.band_state import BandState
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.tones import Tone


class Act(Enum):
    """What the user can ask for beside choosing; the value names it in views."""

    SEARCH = "search"
    SEARCH_ANEW = "search_anew"
    SEARCH_THOROUGHLY = "search_thoroughly"
    """At the speeds in use."""
    PAUSE = "pause"
    CONTINUE = "continue"
    LISTEN = "listen"
    LISTEN_ON = "listen_on"
    STOP = "stop"
    SEARCH_IN_PAUSES = "search_in_pauses"
    TAKE_OVER = "take_over"
    """Opens the question."""
    TAKE_OVER_NOW = "take_over_now"
    LEAVE_IT = "leave_it"
    CHOOSE_PORT = "choose_port"
    EXPORT = "export"
    PING = "ping"
    OPEN = "open"
    CLOSE_DETAILS = "close_details"
    OLDER = "older"
    START_PING = "start_ping"
    SWITCHES = "switches"
    MOVE = "move"
    """Opens the guided job that sets a device to another address or speed."""
    ASK_IN_TURN = "ask_in_turn"


@dataclass(frozen=True, slots=True)
class Action:
    """A button: what it does, its words and key; `refusal` says why it cannot be pressed, empty if it can.

    Attributes:
        address: Whom it is about; 0 for nobody.
    """

    act: Act
    words: str
    key: str = ""
    refusal: str = ""
    address: int = 0


@dataclass(frozen=True, slots=True)
class ChoiceState:
    """One list of what is known: its name, what can be chosen, which is chosen."""

    name: str
    words: tuple[str, ...]
    index: int

    @property
    def chosen(self) -> str:
        """The chosen words."""
        return self.words[self.index]


@dataclass(frozen=True, slots=True)
class KnownState:
    """The band of what is known.

    Attributes:
        is_fixed: A search runs with it: shown as words.
        is_typing: Addresses are being written; `typed` is what stands there, `problem` what is wrong with it.
    """

    speeds: ChoiceState
    framings: ChoiceState
    addresses: ChoiceState
    line_is: ChoiceState
    depth: ChoiceState
    is_fixed: bool
    is_typing: bool
    typed: str
    problem: str

    @property
    def choices(self) -> tuple[ChoiceState, ...]:
        """All five, from left to right."""
        return self.speeds, self.framings, self.addresses, self.line_is, self.depth


@dataclass(frozen=True, slots=True)
class Figure:
    """A caption with its value."""

    caption: str
    value: str
    is_result: bool = False


@dataclass(frozen=True, slots=True)
class ForecastStop:
    """A moment of the forecast: what is reached then, when it is in words and in seconds from the start."""

    words: str
    time: str
    at_s: float
    is_past: bool


@dataclass(frozen=True, slots=True)
class ForecastState:
    """When something is likely to be found, on a line of time.

    Attributes:
        stops: At least one; the last ends the line.
        now_s: Where the search is, in seconds from its start; None before it.
    """

    title: str
    lines: tuple[str, ...]
    stops: tuple[ForecastStop, ...]
    now_s: float | None

    @property
    def spoken(self) -> str:
        """All of it as a reader says it."""
        stops = ", ".join(f"{one.words} after {one.time}" for one in self.stops)
        return f"{self.title}, {', '.join(self.lines)}: {stops}"


@dataclass(frozen=True, slots=True)
class SideState:
    """Beside it: what a search costs, how far it is, or what it took.

    Attributes:
        share_done: For the bar, 0 to 1; None without one.
        forecast: Shown in place of figures and note; None where there is none.
    """

    figures: tuple[Figure, ...]
    note: str
    share_done: float | None = None
    forecast: ForecastState | None = None


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """A state with how many addresses are in it; rare ones are shown only while there are some."""

    state: AddressState
    words: str
    is_shown: bool = True


@dataclass(frozen=True, slots=True)
class AddressesState:
    """The address picture.

    Attributes:
        states: Of addresses 0 to 249, what the picture has room for.
        asked_now: Framed by brackets; None while nothing is asked.
        readout: The focused address in a sentence.
    """

    title: str
    states: tuple[AddressState, ...]
    asked_now: int | None
    focused: int
    legend: tuple[LegendEntry, ...]
    readout: str


@dataclass(frozen=True, slots=True)
class SettingCell:
    """One speed with one framing.

    Attributes:
        share_asked: For its bar; None where this search leaves it out, or nothing was asked.
    """

    words: str
    spoken: str
    share_asked: float | None
    has_found: bool
    is_asked_now: bool
    is_left_out: bool = False


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One speed."""

    speed: str
    cells: tuple[SettingCell, ...]


@dataclass(frozen=True, slots=True)
class SettingsState:
    """The matrix of settings."""

    heads: tuple[str, ...]
    rows: tuple[SettingRow, ...]


@dataclass(frozen=True, slots=True)
class FoundRow:
    """One found device."""

    address: int
    state: AddressState
    setting: str
    turnaround: str
    span: str
    what: str
    identity: str
    planned_at: str
    doubt: str
    doubt_spoken: str
    doubt_tone: Tone


@dataclass(frozen=True, slots=True)
class FoundState:
    """The list of what was found; `empty` says why there is nothing yet."""

    title: str
    rows: tuple[FoundRow, ...]
    chosen: int
    empty_headline: str
    empty_words: str


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do or to know, with a button where there is something to press."""

    headline: str
    words: str
    action: Action | None = None


@dataclass(frozen=True, slots=True)
class StepsState:
    """What to do next, or what to know before the start."""

    title: str
    aside: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class OverheardRow:
    """Whom the other client asks."""

    asks: str
    request: str
    every: str
    answered: str
    came_back: str
    kind: OutcomeKind


@dataclass(frozen=True, slots=True)
class RoundBox:
    """One exchange of its round, as shares of the round from its begin."""

    words: str
    from_share: float
    to_share: float


@dataclass(frozen=True, slots=True)
class OneRoundState:
    """One round of the other client to scale.

    Attributes:
        boxes: Empty while no round is known.
        free_from, free_to: The longest pause that may be used, as shares; equal where there is none.
        words: All of it in words.
    """

    boxes: tuple[RoundBox, ...]
    free_from: float
    free_to: float
    free_words: str
    end_words: str
    aside: str
    words: str


@dataclass(frozen=True, slots=True)
class OtherClientState:
    """Another client is alive: who asks whom, what may happen, how to go on.

    Attributes:
        question: What has to be answered before the line is taken over; '' while nobody wants that.
    """

    aside: str
    rows: tuple[OverheardRow, ...]
    nothing_whole: str
    risks: tuple[Step, ...]
    listen_words: str
    search_words: str
    is_confirmed: bool
    confirm_words: str
    search: Action
    note: str
    one_round: OneRoundState
    take_over_words: str
    take_over: tuple[Action, ...]
    question: str = ""


@dataclass(frozen=True, slots=True)
class ExchangeRow:
    """One exchange in the details."""

    number: int
    when: str
    setting: str
    asked: str
    kind: OutcomeKind
    exception_code: int
    came_back: str
    turnaround: str


@dataclass(frozen=True, slots=True)
class ByteRow:
    """Bytes and their meaning; `is_received` for what came back."""

    data: str
    meaning: str
    is_received: bool
    is_wrong: bool = False


@dataclass(frozen=True, slots=True)
class DetailsState:
    """Everything about one address."""

    title: str
    facts: tuple[str, ...]
    exchanges_title: str
    exchanges: tuple[ExchangeRow, ...]
    chosen: int
    bytes_title: str
    byte_rows: tuple[ByteRow, ...]
    outcome: str
    remarks: tuple[str, ...]
    copied_bytes: str
    older: Action | None
    older_words: str
    ping: Action
    move: Action | None = None


@dataclass(frozen=True, slots=True)
class SearchState:
    """The whole view."""

    sentence: str
    sentence_tone: Tone
    main: Action
    others: tuple[Action, ...]
    band: BandState | None
    known: KnownState
    side: SideState
    addresses: AddressesState
    settings: SettingsState
    found: FoundState
    steps: StepsState
    other_client: OtherClientState | None
    details: DetailsState | None
