"""What the page Trend shows, as values. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.ui.band_state import BandState
from buswalk.ui.pages.trend.plot_layout import PlotState
from buswalk.ui.pages.trend.time_window import FIRST, TimeWindow
from buswalk.ui.table_cells import Row
from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class MarkFlag:
    """An upright in the plots with number and words at its top; a span up to `ends_s` if it has an end."""

    number: int
    row: int
    words: str
    at_s: float
    ends_s: float | None = None

    def touches(self, begins_s: float, ends_s: float) -> bool:
        """Whether any of it lies in a span of time."""
        last_s = self.at_s if self.ends_s is None else self.ends_s
        return self.at_s <= ends_s and last_s >= begins_s


@dataclass(frozen=True, slots=True)
class GapName:
    """A gap as the plots name it: `device` hatches the plots that show a curve of it."""

    device: int
    begins_s: float
    ends_s: float
    words: str


@dataclass(frozen=True, slots=True)
class PlotsState:
    """All plots over one span of time.

    Attributes:
        version: Changes whenever a series has grown.
        is_moving: Dragged, zoomed or redrawn often: drawn thin.
    """

    plots: tuple[PlotState, ...] = ()
    window: TimeWindow = FIRST
    marks: tuple[MarkFlag, ...] = ()
    gaps: tuple[GapName, ...] = ()
    cursor_s: float | None = None
    cursor_words: str = ""
    wall_time: str = ""
    version: int = 0
    tabs: tuple[str, ...] = ()
    tab: int = 0
    spoken: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Figure:
    """A caption over a value."""

    caption: str
    value: str


@dataclass(frozen=True, slots=True)
class FiguresState:
    """A card of figures, three a row, with a sentence below."""

    title: str
    aside: str
    figures: tuple[Figure, ...] = ()
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class ReadingsState:
    """The table at the top right: readings at the cursor, who moved, or who goes along.

    Attributes:
        face: 0 cursor, 1 moved, 2 together.
    """

    face: int = 0
    heads: tuple[str, str, str] = ("Point", "", "")
    aside: str = ""
    rows: tuple[Row, ...] = ()
    chosen: int = 0
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class PickState:
    """Which points are drawn, what is watched, and the hand instrument; of a record nothing can be watched."""

    rows: tuple[Row, ...] = ()
    hand_sentence: str = ""
    hand_tone: Tone = Tone.INK2
    has_hand: bool = False
    devices: tuple[str, ...] = ()
    profiles: tuple[str, ...] = ()
    problem: str = ""
    device: int = 0
    periods: str = ""
    retries: int = 0
    is_record: bool = False


@dataclass(frozen=True, slots=True)
class TrendState:
    """All of it.

    Attributes:
        is_picking: The choice of points is open in place of the plots.
        band: Says which record is shown in place of the running session.
        sessions, session: Those to choose from, and which is shown.
        is_live: The running session is shown.
        picture_wanted: A file that the plots are to be drawn into; '' for none.
    """

    is_empty: bool = True
    sentence: str = ""
    sentence_tone: Tone = Tone.INK2
    every: str = ""
    main_words: str = "Watch"
    main_refused: str = ""
    plots: PlotsState = PlotsState()
    readings: ReadingsState = ReadingsState()
    before: FiguresState = FiguresState("", "")
    after: FiguresState | None = None
    marks: tuple[Row, ...] = ()
    chosen_mark: int = -1
    is_picking: bool = False
    pick: PickState = PickState()
    told: str = ""
    picture_wanted: str = ""
    band: BandState | None = None
    sessions: tuple[str, ...] = ()
    session: int = 0
    is_live: bool = True
