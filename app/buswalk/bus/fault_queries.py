"""What the page of faults asks of a record beside single rows: what the record is about, and one device's figures."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.bus.fault_sums import ClaimStand, ShareLimit, claim_stands, share_limit
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.record_faults import FaultCounts
from buswalk.domain.record_reader import (
    ExchangePage,
    NotEnded,
    RecordedEvent,
    RecordedExchange,
    RecordFacts,
    RecordReader,
)
from buswalk.domain.record_reader import found_devices as devices_in
from buswalk.domain.search.events import Found
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.statistics.device_quality import DeviceQuality, DeviceTally
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.statistics.filter_fit import fits
from buswalk.domain.statistics.live_faults import LATE_WITHIN_S
from buswalk.domain.statistics.mark_contrast import outside_of
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.marks import Mark, current_marks
from buswalk.domain.visit.session_events import JobStarted, PortClosed, PortFailed, PortOpened, PortReturned

VISIT_EVENTS = (PortOpened, PortClosed, PortFailed, PortReturned, JobStarted)
TALLIED_AT_ONCE = 2_000
"""Exchanges that one answer tallies: some tenths of a second, so that other questions are not kept waiting."""


@dataclass(frozen=True, slots=True)
class VisitSummary:
    """What a record is about.

    Attributes:
        events: Of ports and jobs, in order.
        settings: That anything was asked in.
    """

    facts: RecordFacts
    marks: tuple[Mark, ...]
    events: tuple[RecordedEvent, ...]
    planned: tuple[PlannedDevice, ...]
    found: tuple[Found, ...]
    settings: tuple[SerialSettings, ...]

    @property
    def job_names(self) -> dict[tuple[int, int], str]:
        """Names of jobs by session and number."""
        return {
            (one.session, one.event.number): one.event.name for one in self.events if isinstance(one.event, JobStarted)
        }


@dataclass(frozen=True, slots=True)
class ReadVisitSummary:
    """All of it at once: none of it grows with the traffic."""

    def answer(self, reader: RecordReader) -> VisitSummary:
        """Ask the reader."""
        plan = reader.plan()
        return VisitSummary(
            reader.facts(),
            current_marks(reader.marks()),
            reader.events_of(VISIT_EVENTS),
            plan.devices if plan is not None else (),
            devices_in(reader.findings()),
            reader.settings_used(),
        )


@dataclass(frozen=True, slots=True)
class TallyPart:
    """A tally so far.

    Attributes:
        limit: Of its share that was not clean; None without a trial.
        counted_to: Ask on behind this number.
        is_whole: Whether nothing is left but what a late reply may still change.
    """

    tally: DeviceTally
    quality: DeviceQuality
    limit: ShareLimit | None
    claims: tuple[ClaimStand, ...]
    counted_to: int
    is_whole: bool


@dataclass(frozen=True, slots=True)
class TallyDevice:
    """Figures of one server, a part at a time; the tally travels, and does not grow."""

    tally: DeviceTally
    server_address: int
    wanted: FaultFilter
    jobs: tuple[tuple[tuple[int, int], str], ...]
    after_number: int = 0
    at_once: int = TALLIED_AT_ONCE

    def answer(self, reader: RecordReader) -> TallyPart:
        """Ask the reader."""
        page = ExchangePage(after_number=self.after_number, limit=self.at_once, server_address=self.server_address)
        rows = reader.exchanges(page)
        newest = reader.last_exchanges(ExchangePage(limit=1))
        settled = _settled(rows, newest[-1], reader.facts()) if newest else []
        wanted, names = replace(self.wanted, addresses=frozenset()), dict(self.jobs)
        for one in settled:
            if fits(one, wanted, names):
                self.tally.take(one)
        counted_to = settled[-1].exchange.number if settled else self.after_number
        quality = self.tally.quality()
        limit = share_limit(quality.row.not_clean, quality.row.trials) if quality.row.trials else None
        claims = claim_stands(limit) if limit is not None else ()
        is_whole = len(rows) < self.at_once or not settled
        return TallyPart(self.tally, quality, limit, claims, counted_to, is_whole)


def _settled(
    rows: tuple[RecordedExchange, ...], newest: RecordedExchange, facts: RecordFacts
) -> list[RecordedExchange]:
    """Return those to which no late reply can come any more: all of a session that is over."""
    running = {one.session for one in facts.sessions if isinstance(one.end, NotEnded)} & {newest.session}
    until_s = newest.exchange.ended_s - LATE_WITHIN_S
    return [one for one in rows if one.session not in running or one.exchange.ended_s <= until_s]


@dataclass(frozen=True, slots=True)
class MarkCounts:
    """Counts inside and outside of a mark, a part at a time; the rest is asked with both `counted_to`."""

    inside: FaultCounts
    outside: FaultCounts


@dataclass(frozen=True, slots=True)
class CountAroundMark:
    """Counts for the table inside and outside of a span, under a filter whose marks and times are left out."""

    wanted: FaultFilter
    span: MarkedSpan
    sessions: tuple[int, ...]
    after_number: int = 0

    def answer(self, reader: RecordReader) -> MarkCounts:
        """Ask the reader."""
        inside = replace(self.wanted, times=(), inside=(self.span,))
        outside = replace(self.wanted, times=(), inside=outside_of(self.span, self.sessions))
        counted = reader.fault_counts(inside, self.after_number)
        if not outside.inside:
            return MarkCounts(counted, replace(counted, counts=()))
        return MarkCounts(counted, reader.fault_counts(outside, self.after_number))
