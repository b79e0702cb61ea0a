"""Everything the page Faults shows, finished."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.ui.band_state import BandState
from buswalk.ui.empty_words import EmptyWords
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.exchange_state import ExchangeState
from buswalk.ui.table_cells import Row
from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class FilterChoice:
    """One word of the filter line, and what else could stand there.

    Attributes:
        chosen: Place in `words`; 0 lets everything through.
    """

    name: str
    words: tuple[str, ...]
    chosen: int = 0


@dataclass(frozen=True, slots=True)
class TypedTimes:
    """Two times that were typed; `told` says why they cannot be."""

    from_text: str
    to_text: str
    told: str = ""


@dataclass(frozen=True, slots=True)
class TimelinePoint:
    """What was not clean with one device in one stretch of time; `x` runs from 0 to 1."""

    x: float
    kind: OutcomeKind
    told: str


@dataclass(frozen=True, slots=True)
class TimelineLane:
    """One device's line."""

    server_address: int
    points: tuple[TimelinePoint, ...]
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class TimelineSpan:
    """A mark, or a time without a port."""

    from_x: float
    to_x: float
    words: str


@dataclass(frozen=True, slots=True)
class TimelineTick:
    """A time of day at the foot."""

    x: float
    words: str


@dataclass(frozen=True, slots=True)
class TimelineState:
    """When, by device.

    Attributes:
        chosen: Device of the shown exchange, and where it lies; negative for nowhere.
        aside: How many devices are not among the lanes.
    """

    lanes: tuple[TimelineLane, ...] = ()
    marks: tuple[TimelineSpan, ...] = ()
    gaps: tuple[TimelineSpan, ...] = ()
    ticks: tuple[TimelineTick, ...] = ()
    chosen: tuple[int, float] = (0, -1.0)
    aside: str = ""


@dataclass(frozen=True, slots=True)
class FigureLine:
    """A caption with one sentence or figure."""

    caption: str
    words: str
    tone: Tone = Tone.INK


class SideFace(Enum):
    """What the card at the right shows; the value is its word."""

    FIGURES = "Figures"
    MARKS = "Marks"
    WATCH = "Watch"


@dataclass(frozen=True, slots=True)
class FiguresState:
    """What the exchanges with the focused device show."""

    title: str = "No device chosen"
    lines: tuple[FigureLine, ...] = ()


@dataclass(frozen=True, slots=True)
class MarkForm:
    """The chosen mark, to be edited: words, start and end as times of day; an end left empty is that of its session."""

    words: str
    start: str
    end: str


@dataclass(frozen=True, slots=True)
class MarksState:
    """All marks, and the chosen one.

    Attributes:
        chosen: Place in `rows`; -1 for none, or for a new one.
        contrast: Inside and outside of it, in words.
        refusal: Why marks cannot be changed here; empty where they can.
        told: What came of the last change.
    """

    rows: tuple[Row, ...] = ()
    chosen: int = -1
    contrast: tuple[FigureLine, ...] = ()
    form: MarkForm | None = None
    refusal: str = ""
    told: str = ""


@dataclass(frozen=True, slots=True)
class WatchState:
    """Whom a watch asks, and how often."""

    devices: str = ""
    periods: FilterChoice = FilterChoice("period", ("as often as it goes",))
    shares: FilterChoice = FilterChoice("share of the line", ("the whole line",))
    waits: FilterChoice = FilterChoice("wait", ("as long as each needs",))
    lines: tuple[FigureLine, ...] = ()


@dataclass(frozen=True, slots=True)
class MainAction:
    """What F5 does; `refusal` says why it cannot."""

    words: str
    refusal: str = ""


@dataclass(frozen=True, slots=True)
class FaultsState:
    """The page.

    Attributes:
        typed_times: None where no times are typed.
        empty: What stands here instead of tables; None where something was counted.
        chosen: Row of the focused device.
        no_exchange: Why none is shown, or what came of the last step.
    """

    sentence: str
    main: MainAction
    band: BandState | None = None
    empty: EmptyWords | None = None
    filters: tuple[FilterChoice, ...] = ()
    is_filtered: bool = False
    typed_times: TypedTimes | None = None
    rows: tuple[Row, ...] = ()
    chosen: int = -1
    timeline: TimelineState = TimelineState()
    exchange: ExchangeState | None = None
    no_exchange: str = ""
    side: SideFace = SideFace.FIGURES
    figures: FiguresState = FiguresState()
    marks: MarksState = MarksState()
    watch: WatchState = WatchState()
