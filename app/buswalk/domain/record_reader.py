"""The protocol by which screens, commands and the analysis read the record of a visit, and what they get.

Reading never disturbs writing. What is read is what was shown: the same exchanges and events as in the stream.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol, TypeAlias, get_args

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LateReply
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.readdressing.events import ReaddressEvent
from buswalk.domain.record_faults import AbnormalPage, CountedRows, FaultCounts, FaultTimeline
from buswalk.domain.record_samples import SampleColumns, SamplePage
from buswalk.domain.registers.writing.events import WriteEvent
from buswalk.domain.registers.writing.visit_writes import VisitWrites, visit_writes
from buswalk.domain.search.events import AnswersEverywhere, Found, Unclear
from buswalk.domain.statistics.counted_exchange import CountedExchange
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.visit.session_events import PlanKept, SessionStarted

LARGEST_PAGE = 10_000
"""So many rows are handed over at once; more are asked for page by page."""


@dataclass(frozen=True, slots=True)
class EndedInOrder:
    """The session was closed; `at_s` is its last line time."""

    at_s: float


@dataclass(frozen=True, slots=True)
class NotEnded:
    """No end is recorded: it is still running, or program or computer were ended in its midst."""


SessionEnd: TypeAlias = EndedInOrder | NotEnded


@dataclass(frozen=True, slots=True)
class RecordedSession:
    """One session of a record, counted from 1."""

    session: int
    started: SessionStarted
    end: SessionEnd
    exchanges: int

    def wall_time_at(self, at_s: float) -> datetime:
        """Return what the computer's clock would have shown at a line time of this session."""
        return datetime.fromisoformat(self.started.wall_time) + timedelta(seconds=at_s)


@dataclass(frozen=True, slots=True)
class RecordFacts:
    """What a record is.

    Attributes:
        visit_id: Told from all other records by this.
    """

    name: str
    path: str
    visit_id: str
    schema: int
    is_simulated: bool
    exchanges: int
    sessions: tuple[RecordedSession, ...]


@dataclass(frozen=True, slots=True)
class RecordedExchange:
    """An exchange as it was recorded.

    Attributes:
        job: Counted from 1 in its session; 0 where none ran.
        late: Replies that came later and can be its; credited, or doubtful.
    """

    row: int
    session: int
    job: int
    exchange: Exchange
    late: tuple[LateReply, ...]


@dataclass(frozen=True, slots=True)
class RecordedEvent:
    """Any event as it was kept; `UnknownEvent` where a newer version kept it."""

    row: int
    session: int
    event: object
    at_s: float


@dataclass(frozen=True, slots=True)
class UnknownEvent:
    """An event that this version does not know; its JSON as it was kept."""

    kind: str
    json: str


@dataclass(frozen=True, slots=True)
class OutcomeCount:
    """So many exchanges with one server ended so; `late_credited` of them were answered late.

    Attributes:
        outcome: Class name of the outcome in snake case, such as `no_reply`.
    """

    server_address: int
    outcome: str
    count: int
    late_credited: int

    @property
    def count_less_late(self) -> int:
        """What is shown: a late reply is no silence."""
        return self.count - self.late_credited


@dataclass(frozen=True, slots=True)
class HourCount:
    """The same within one hour of line time of a session, counted from 0."""

    session: int
    hour: int
    counted: OutcomeCount


@dataclass(frozen=True, slots=True)
class ExchangePage:
    """Which exchanges to read.

    Attributes:
        after_number: Those behind this one; 0 for the first ones.
        before_number: Those before this one; 0 for the last ones.
        server_address: Of this server only; 0 for all, as nobody answers a broadcast.
    """

    after_number: int = 0
    limit: int = 200
    server_address: int = 0
    before_number: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.limit <= LARGEST_PAGE:
            raise ValueError(f"a page has 1 to {LARGEST_PAGE} rows, not {self.limit}")


class RecordReader(Protocol):
    """Reads one record. Every method raises `RecordProblem` when the file cannot be read, or is damaged there."""

    def facts(self) -> RecordFacts:
        """What it is, with its sessions."""

    def is_cut(self) -> bool:
        """Whether the file ends before it says so itself: not all that is missing can be told."""

    def exchanges(self, page: ExchangePage) -> tuple[RecordedExchange, ...]:
        """A page of exchanges with their arrivals, in order."""

    def last_exchanges(self, page: ExchangePage) -> tuple[RecordedExchange, ...]:
        """The last `limit` exchanges of a page, in order."""

    def exchange(self, number: int) -> RecordedExchange | None:
        """One exchange with its arrivals; None if no exchange has this number."""

    def last_number(self) -> int:
        """The number of the last exchange; 0 if there is none."""

    def late_replies(self) -> tuple[LateReply, ...]:
        """All late replies, in order."""

    def outcome_counts(self) -> tuple[OutcomeCount, ...]:
        """Exchanges by server and outcome, over all sessions."""

    def hour_counts(self, server_address: int) -> tuple[HourCount, ...]:
        """Those of one server, hour by hour."""

    def findings(self) -> tuple[Found | Unclear | AnswersEverywhere, ...]:
        """What searches found, in order; a device that was found again stands there again."""

    def marks(self) -> tuple[RecordedEvent, ...]:
        """All that was said of marks, in the order of keeping; `domain/visit/marks` folds it into what stands."""

    def abnormal_exchanges(self, page: AbnormalPage) -> tuple[RecordedExchange, ...]:
        """The first `limit` exchanges of a page that were not clean, in order, with their arrivals."""

    def last_abnormal_exchanges(self, page: AbnormalPage) -> tuple[RecordedExchange, ...]:
        """The last `limit` of them, in order: the page before the one that is shown."""

    def fitting_exchanges(self, wanted: FaultFilter, first: int, last: int) -> tuple[RecordedExchange, ...]:
        """All exchanges of these numbers that fit, clean ones too and whatever their kind, in order."""

    def counted_rows(self, from_row: int, limit: int) -> CountedRows:
        """So many kept events from a row on, reduced to what counting needs: one that cannot be read spoils the whole,
        as it does with `events`."""

    def fitting_counted(self, wanted: FaultFilter, first: int, last: int) -> tuple[CountedExchange, ...]:
        """What `fitting_exchanges` gives, reduced to what counting needs."""

    def abnormal_count(self, wanted: FaultFilter) -> int:
        """How many exchanges fit: the length of the list."""

    def fault_counts(self, wanted: FaultFilter, after_number: int) -> FaultCounts:
        """Counts for the table. At once whole where the filter is of devices only; else of the next so many exchanges,
        to be asked on with `counted_to`."""

    def fault_timeline(self, wanted: FaultFilter, bins: int) -> FaultTimeline:
        """When it was not clean, in about so many bins over the times of the filter, or over all sessions."""

    def events_of(self, kinds: tuple[type, ...]) -> tuple[RecordedEvent, ...]:
        """All kept events of these kinds that are no traffic, in order: ports, traits, jobs."""

    def points_watched(self) -> tuple[RecordedEvent, ...]:
        """All descriptions of watched points (`PointsWatched`), in the order of keeping: from each on, until the next
        one of the same device in the same session, samples of that device are meant so."""

    def samples(self, page: SamplePage) -> SampleColumns:
        """One point over time, in order; empty if there is none."""

    def settings_used(self) -> tuple[SerialSettings, ...]:
        """Every speed and framing in which anything was asked."""

    def plan(self) -> PlanKept | None:
        """The planned list as it was kept last; None if there never was one."""

    def events(self, from_row: int, limit: int) -> tuple[RecordedEvent, ...]:
        """Every kept event from a row on, exchanges and arrivals included, in the order of keeping."""

    def last_row(self) -> int:
        """The row of the event kept last; 0 if there is none."""

    def problems(self) -> tuple[str, ...]:
        """Look through the whole file: a sentence for each thing that is not as it must be; none if all is well."""

    def close(self) -> None:
        """Give the file back. Closing twice does nothing."""


WRITE_KINDS: tuple[type, ...] = (*get_args(WriteEvent), *get_args(ReaddressEvent))
"""All that is said of writes and of setting addresses: to be asked of `RecordReader.events_of`."""


def writes_in(events: tuple[RecordedEvent, ...]) -> VisitWrites:
    """Return the writes of a record: what was changed, what was put back."""
    return visit_writes((one.session, one.event) for one in events)


def found_devices(findings: tuple[Found | Unclear | AnswersEverywhere, ...]) -> tuple[Found, ...]:
    """Return the found devices by address, each as it was found last in its settings."""
    latest = {(one.server_address, one.settings): one for one in findings if isinstance(one, Found)}
    return tuple(sorted(latest.values(), key=lambda one: (one.server_address, str(one.settings))))
