"""What is asked of a record about what was not clean, and what comes back: pages, counts, a timeline. Small enough for
a pipe, whatever the size of the record."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.statistics.counted_exchange import CountedExchange
from buswalk.domain.statistics.fault_filter import ALL, FaultFilter

LARGEST_FAULT_PAGE = 1_000
MOST_BINS = 2_000


@dataclass(frozen=True, slots=True)
class AbnormalPage:
    """Which exchanges to read: those that were not clean and fit the filter.

    Attributes:
        after_number: Behind this one; 0 for the first ones.
        before_number: Before this one; 0 for up to the last one.
    """

    wanted: FaultFilter = ALL
    after_number: int = 0
    before_number: int = 0
    limit: int = 200

    def __post_init__(self) -> None:
        if not 1 <= self.limit <= LARGEST_FAULT_PAGE:
            raise ValueError(f"a page has 1 to {LARGEST_FAULT_PAGE} rows, not {self.limit}")


@dataclass(frozen=True, slots=True)
class CountedRows:
    """A span of rows: its exchanges in order, and how many lumps of bytes came between exchanges."""

    exchanges: tuple[CountedExchange, ...]
    strays: int


@dataclass(frozen=True, slots=True)
class FaultCount:
    """So many exchanges with one server ended so.

    Attributes:
        outcome: Class name in snake case, as recorded.
        late_credited: So many of them were answered late.
        stray, foreign: So many of them had bytes of no frame, or a whole frame of another address.
    """

    server_address: int
    outcome: str
    count: int
    late_credited: int = 0
    stray: int = 0
    foreign: int = 0


@dataclass(frozen=True, slots=True)
class FaultCounts:
    """Counts over a part of a record; parts add up (`statistics/fault_rows`).

    Attributes:
        counted_to: Ask on after this number.
        last_number: Of the record when this was asked; with `counted_to` there, all is counted.
    """

    counts: tuple[FaultCount, ...]
    counted_to: int
    last_number: int

    @property
    def is_whole(self) -> bool:
        """Whether nothing is left to count."""
        return self.counted_to >= self.last_number


@dataclass(frozen=True, slots=True)
class TimeBin:
    """A stretch of line time of one session."""

    session: int
    from_s: float
    to_s: float


@dataclass(frozen=True, slots=True)
class BinCount:
    """Exchanges with one server that were sent in a bin and were not clean, by outcome.

    Attributes:
        bin: Place in `FaultTimeline.bins`, from 0.
        outcome: Class name in snake case; `late` for what was answered late.
        stray: So many of them had bytes of no frame.
    """

    bin: int
    server_address: int
    outcome: str
    count: int
    stray: int


@dataclass(frozen=True, slots=True)
class HourAsked:
    """So many exchanges with one server ended within an hour of line time of a session, counted from 0.

    Filters of time, mark, job and settings are not heeded here.
    """

    session: int
    hour: int
    server_address: int
    count: int


@dataclass(frozen=True, slots=True)
class FaultTimeline:
    """When it was not clean.

    Attributes:
        bins: In order, all of about the same length; sessions without exchanges have none.
        counts: Only what is not 0.
        asked: Hour by hour: where nothing was asked, nothing can have gone wrong.
    """

    bins: tuple[TimeBin, ...]
    counts: tuple[BinCount, ...]
    asked: tuple[HourAsked, ...]
