"""What the window asks of a record. Each query knows how a reader answers it, so a new one is one class here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from buswalk.domain.record_faults import AbnormalPage, FaultCounts, FaultTimeline
from buswalk.domain.record_reader import (
    WRITE_KINDS,
    ExchangePage,
    OutcomeCount,
    RecordedEvent,
    RecordedExchange,
    RecordFacts,
    RecordReader,
    writes_in,
)
from buswalk.domain.record_samples import SampleColumns, SamplePage
from buswalk.domain.registers.writing.visit_writes import VisitWrites
from buswalk.domain.search.events import AnswersEverywhere, Found, Unclear
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.visit.marks import Mark, current_marks
from buswalk.domain.visit.session_events import PlanKept


class Query(Protocol):
    """A question to one record; travels between processes."""

    def answer(self, reader: RecordReader) -> object:
        """Ask the reader. Raises RecordProblem."""


class Calculation(Protocol):
    """Something to work out of values that are handed along, away from the window; no record is opened."""

    def result(self) -> object:
        """Work it out."""


@dataclass(frozen=True, slots=True)
class ReadFacts:
    """What a record is, with its sessions."""

    def answer(self, reader: RecordReader) -> RecordFacts:
        """Ask the reader."""
        return reader.facts()


@dataclass(frozen=True, slots=True)
class ReadExchanges:
    """A page of exchanges, in order."""

    page: ExchangePage

    def answer(self, reader: RecordReader) -> tuple[RecordedExchange, ...]:
        """Ask the reader."""
        return reader.exchanges(self.page)


@dataclass(frozen=True, slots=True)
class ReadLastExchanges:
    """The last exchanges, in order."""

    page: ExchangePage

    def answer(self, reader: RecordReader) -> tuple[RecordedExchange, ...]:
        """Ask the reader."""
        return reader.last_exchanges(self.page)


@dataclass(frozen=True, slots=True)
class ReadExchange:
    """One exchange with all its bytes; None if no exchange has this number."""

    number: int

    def answer(self, reader: RecordReader) -> RecordedExchange | None:
        """Ask the reader."""
        return reader.exchange(self.number)


@dataclass(frozen=True, slots=True)
class ReadCounts:
    """Exchanges by server and outcome."""

    def answer(self, reader: RecordReader) -> tuple[OutcomeCount, ...]:
        """Ask the reader."""
        return reader.outcome_counts()


@dataclass(frozen=True, slots=True)
class ReadFindings:
    """What searches found, in order."""

    def answer(self, reader: RecordReader) -> tuple[Found | Unclear | AnswersEverywhere, ...]:
        """Ask the reader."""
        return reader.findings()


@dataclass(frozen=True, slots=True)
class ReadMarks:
    """All marks as they stand now, by number."""

    def answer(self, reader: RecordReader) -> tuple[Mark, ...]:
        """Ask the reader."""
        return current_marks(reader.marks())


@dataclass(frozen=True, slots=True)
class ReadWrites:
    """All writes of the visit, with what became of each."""

    def answer(self, reader: RecordReader) -> VisitWrites:
        """Ask the reader."""
        return writes_in(reader.events_of(WRITE_KINDS))


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """The planned list as it was kept last; None if there never was one."""

    def answer(self, reader: RecordReader) -> PlanKept | None:
        """Ask the reader."""
        return reader.plan()


@dataclass(frozen=True, slots=True)
class ReadPointsWatched:
    """All descriptions of watched points, in order: which series there are."""

    def answer(self, reader: RecordReader) -> tuple[RecordedEvent, ...]:
        """Ask the reader."""
        return reader.points_watched()


@dataclass(frozen=True, slots=True)
class ReadSamples:
    """One point over time: what `trend/samples.samples_of` makes arrays of."""

    page: SamplePage

    def answer(self, reader: RecordReader) -> SampleColumns:
        """Ask the reader."""
        return reader.samples(self.page)


@dataclass(frozen=True, slots=True)
class ReadEvents:
    """Every kept event from a row on: what the stream skipped."""

    from_row: int
    limit: int

    def answer(self, reader: RecordReader) -> tuple[RecordedEvent, ...]:
        """Ask the reader."""
        return reader.events(self.from_row, self.limit)


@dataclass(frozen=True, slots=True)
class ReadAbnormal:
    """The first exchanges of a page that were not clean: those after the selected one, or from the beginning."""

    page: AbnormalPage

    def answer(self, reader: RecordReader) -> tuple[RecordedExchange, ...]:
        """Ask the reader."""
        return reader.abnormal_exchanges(self.page)


@dataclass(frozen=True, slots=True)
class ReadLastAbnormal:
    """The last exchanges of a page that were not clean: those before the selected one, or the latest."""

    page: AbnormalPage

    def answer(self, reader: RecordReader) -> tuple[RecordedExchange, ...]:
        """Ask the reader."""
        return reader.last_abnormal_exchanges(self.page)


@dataclass(frozen=True, slots=True)
class CountAbnormal:
    """How long the list under a filter is."""

    wanted: FaultFilter

    def answer(self, reader: RecordReader) -> int:
        """Ask the reader."""
        return reader.abnormal_count(self.wanted)


@dataclass(frozen=True, slots=True)
class ReadFaultCounts:
    """Counts for the table: ask on with `after_number` = `counted_to` until `is_whole`; `fault_rows` adds them up."""

    wanted: FaultFilter
    after_number: int = 0

    def answer(self, reader: RecordReader) -> FaultCounts:
        """Ask the reader."""
        return reader.fault_counts(self.wanted, self.after_number)


@dataclass(frozen=True, slots=True)
class ReadFaultTimeline:
    """When it was not clean, by device and outcome; a filter of times zooms in."""

    wanted: FaultFilter
    bins: int

    def answer(self, reader: RecordReader) -> FaultTimeline:
        """Ask the reader."""
        return reader.fault_timeline(self.wanted, self.bins)
