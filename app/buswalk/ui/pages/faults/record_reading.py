"""Reads a record for the page, question by question, in the analysis process; keeps the latest answers. Plain Python.

One round asks what the record is about, counts, the timeline, figures of one device and counts around marks, each after
the other, so that no answer is waited for by the window and no two rounds run at once.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass, replace
from typing import Protocol

from buswalk.bus.fault_queries import (
    CountAroundMark,
    MarkCounts,
    ReadVisitSummary,
    TallyDevice,
    TallyPart,
    VisitSummary,
)
from buswalk.bus.fault_sums import Contrast, JudgeContrast, LimitShares, ShareLimit
from buswalk.bus.queries import (
    CountAbnormal,
    Query,
    ReadAbnormal,
    ReadExchange,
    ReadFaultCounts,
    ReadFaultTimeline,
    ReadLastAbnormal,
)
from buswalk.domain.record_faults import AbnormalPage, FaultCount, FaultCounts, FaultTimeline
from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.statistics.device_quality import DeviceTally
from buswalk.domain.statistics.fault_filter import ALL, FaultFilter
from buswalk.domain.statistics.fault_rows import fault_rows
from buswalk.domain.statistics.mark_contrast import contrast
from buswalk.domain.statistics.outcome_table import OutcomeRow
from buswalk.domain.visit.marks import Mark, mark_span
from buswalk.ui.pages.faults.timeline_state import BINS

TALLY_PARTS_A_ROUND = 5
MARKS_A_ROUND = 2
Round = Generator[Query, object, None]


class AsksRecord(Protocol):
    """Asks a record; `take` gets the answer later, or `refused` one sentence."""

    def __call__(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        """Ask."""


class Wishes(Protocol):
    """What the page wants to know, asked at the moment when it is needed."""

    def wanted(self, summary: VisitSummary) -> FaultFilter:
        """The filter."""

    def focused(self, rows: tuple[OutcomeRow, ...], summary: VisitSummary) -> int:
        """The device whose figures are wanted; 0 for none."""

    def chosen_device(self) -> int:
        """The device that the user chose; 0 for none."""

    def mark_to_count(self) -> Mark | None:
        """The mark whose counts are wanted; None for none."""

    def take_contrast(self, mark: Mark, contrast: Contrast) -> None:
        """Take them."""

    def exchange_found(self, recorded: RecordedExchange) -> None:
        """An exchange that was asked for is shown now."""

    def changed(self) -> None:
        """Something new is known."""


@dataclass(frozen=True, slots=True)
class _Tally:
    """Figures so far, of one device under one filter."""

    server_address: int
    wanted: FaultFilter
    part: TallyPart


class RecordReading:
    """All that is known of one record."""

    def __init__(self, ask: AsksRecord, wishes: Wishes) -> None:
        self._ask = ask
        self._wishes = wishes
        self._path = ""
        self._generation = 0
        self._round: Round | None = None
        self._wants_another = False
        self._parts: tuple[FaultCounts, ...] = ()
        self._parts_of: FaultFilter | None = None
        self._must_recount = False
        self._tally: _Tally | None = None
        self.summary: VisitSummary | None = None
        self.wanted = ALL
        self.rows: tuple[OutcomeRow, ...] = ()
        self.limits: dict[tuple[int, int], ShareLimit] = {}
        self.is_counted = False
        self.timeline: FaultTimeline | None = None
        self.abnormal = 0
        self.exchange: RecordedExchange | None = None
        self.problem = ""
        self.told = ""

    @property
    def path(self) -> str:
        """Which record is read; empty for none."""
        return self._path

    @property
    def tally(self) -> TallyPart | None:
        """Figures of the focused device so far."""
        return self._tally.part if self._tally is not None else None

    @property
    def is_busy(self) -> bool:
        """Whether a round runs."""
        return self._round is not None

    def open(self, path: str) -> None:
        """Read another record from now on."""
        self._generation += 1
        self._path, self._round = path, None
        self._parts, self._parts_of, self._tally = (), None, None
        self.summary, self.timeline, self.exchange = None, None, None
        self.rows, self.is_counted, self.abnormal = (), False, 0
        self.problem, self.told = "", ""
        if path:
            self.refresh()

    def refresh(self) -> None:
        """Ask anew; where a round runs, another one follows it."""
        if not self._path:
            return
        if self._round is not None:
            self._wants_another = True
            return
        self._round = self._one_round()
        self._go_on(None)

    def begin_anew(self) -> None:
        """Another filter or device: the round that runs is let go."""
        self._generation += 1
        self._round = None
        self.told = ""
        self.refresh()

    def recount(self) -> None:
        """What was counted may have changed: a late reply was credited."""
        self._must_recount = True

    # Rounds

    def _go_on(self, answer: object) -> None:
        running = self._round
        if running is None:
            return
        try:
            query = next(running) if answer is None else running.send(answer)
        except StopIteration:
            self._round = None
            self._wishes.changed()
            if self._wants_another:
                self._wants_another = False
                self.refresh()
            return
        generation = self._generation

        def take(value: object) -> None:
            if generation == self._generation:
                self._go_on(value)

        def refused(sentence: str) -> None:
            if generation == self._generation:
                self._round = None
                self.problem = sentence
                self._wishes.changed()

        self._ask(self._path, query, take, refused)

    def _one_round(self) -> Round:
        summary = yield ReadVisitSummary()
        assert isinstance(summary, VisitSummary)
        self.summary, self.problem = summary, ""
        self.wanted = self._wishes.wanted(summary)
        yield from self._count()
        yield from self._show_first()
        timeline = yield ReadFaultTimeline(self.wanted, BINS)
        assert isinstance(timeline, FaultTimeline)
        self.timeline = timeline
        self._wishes.changed()
        yield from self._tally_focused(summary)
        yield from self._count_marks(summary)
        total = yield CountAbnormal(self.wanted)
        self.abnormal = total if isinstance(total, int) else 0

    def _show_first(self) -> Round:
        """While none is shown, the latest that was not clean comes by itself; a shown one stays until another is."""
        if self.exchange is not None or not any(one.not_clean for one in self.rows):
            return
        chosen = self._wishes.chosen_device()
        wanted = replace(self.wanted, addresses=frozenset([chosen])) if chosen else self.wanted
        found = yield ReadLastAbnormal(AbnormalPage(wanted, limit=1))
        self._take_found(found, self.told)
        self._wishes.changed()

    def _count(self) -> Round:
        """Count on from where the last round ended, or anew where what was counted does not hold."""
        if self._parts_of != self.wanted or self._must_recount or self.wanted.is_of_devices_only:
            parts: tuple[FaultCounts, ...] = ()
        else:
            parts = self._parts
        self._must_recount = False
        while True:
            part = yield ReadFaultCounts(self.wanted, parts[-1].counted_to if parts else 0)
            assert isinstance(part, FaultCounts)
            parts = (*parts, part)
            if part.is_whole or not self.is_counted:
                yield from self._limit(fault_rows(parts))
            if part.is_whole:
                break
        self._parts, self._parts_of, self.is_counted = _merged(parts), self.wanted, True

    def _limit(self, rows: tuple[OutcomeRow, ...]) -> Round:
        """Rows are shown together with their limits; those with nothing unclean need no long sums."""
        limits = yield LimitShares(tuple((one.not_clean, one.trials) for one in rows if one.not_clean))
        assert isinstance(limits, tuple)
        self.limits = {(one.seen, one.trials): one for one in limits if isinstance(one, ShareLimit)}
        self.rows = rows
        self._wishes.changed()

    def _tally_focused(self, summary: VisitSummary) -> Round:
        address = self._wishes.focused(self.rows, summary)
        if not address:
            self._tally = None
            return
        before = self._tally
        wanted = replace(self.wanted, kinds=frozenset())
        if before is None or (before.server_address, before.wanted) != (address, wanted):
            tally, after = DeviceTally(address), 0
        else:
            tally, after = before.part.tally, before.part.counted_to
        jobs = tuple(summary.job_names.items())
        for _ in range(TALLY_PARTS_A_ROUND):
            part = yield TallyDevice(tally, address, wanted, jobs, after)
            assert isinstance(part, TallyPart)
            self._tally = _Tally(address, wanted, part)
            tally, after = part.tally, part.counted_to
            if part.is_whole:
                return
        self._wants_another = True

    def _count_marks(self, summary: VisitSummary) -> Round:
        sessions = tuple(one.session for one in summary.facts.sessions)
        for _ in range(MARKS_A_ROUND):
            mark = self._wishes.mark_to_count()
            if mark is None:
                return
            inside: tuple[FaultCounts, ...] = ()
            outside: tuple[FaultCounts, ...] = ()
            while not inside or not inside[-1].is_whole:
                after = inside[-1].counted_to if inside else 0
                part = yield CountAroundMark(self.wanted, mark_span(mark), sessions, after)
                assert isinstance(part, MarkCounts)
                inside, outside = (*inside, part.inside), (*outside, part.outside)
            judged = yield JudgeContrast(contrast(fault_rows(inside), fault_rows(outside)))
            assert isinstance(judged, Contrast)
            self._wishes.take_contrast(mark, judged)
        self._wants_another = True

    # Single exchanges

    def walk(self, step: int, server_address: int = 0) -> None:
        """Go to the next or previous exchange that was not clean, of one device or of all."""
        wanted = replace(self.wanted, addresses=frozenset([server_address])) if server_address else self.wanted
        number = self.exchange.exchange.number if self.exchange is not None else 0
        whose = f" of {server_address}" if server_address else ""
        if step > 0 and number:
            query: Query = ReadAbnormal(AbnormalPage(wanted, after_number=number, limit=1))
            end = f"That was the last one{whose}."
        else:
            query = ReadLastAbnormal(AbnormalPage(wanted, before_number=number, limit=1))
            end = f"That was the first one{whose}." if number else "Nothing was unclean."
        self._ask_one(query, end)

    def show_latest(self, server_address: int) -> None:
        """Show the latest exchange of one device that was not clean."""
        wanted = replace(self.wanted, addresses=frozenset([server_address]))
        query = ReadLastAbnormal(AbnormalPage(wanted, limit=1))
        self.exchange = None
        self._ask_one(query, f"Every exchange with {server_address} was clean, as far as the filter lets through.")

    def show_number(self, number: int) -> None:
        """Show one exchange, clean or not."""
        self._ask_one(ReadExchange(number), f"Exchange {number} is not in this record.")

    def _ask_one(self, query: Query, not_found: str) -> None:
        if not self._path:
            return
        path = self._path

        def take(value: object) -> None:
            if path == self._path:
                self._take_found(value, not_found)
                if self.exchange is not None and not self.told:
                    self._wishes.exchange_found(self.exchange)
                self._wishes.changed()

        def refused(sentence: str) -> None:
            if path == self._path:
                self.told = sentence
                self._wishes.changed()

        self._ask(path, query, take, refused)

    def _take_found(self, value: object, not_found: str) -> None:
        found = value[-1] if isinstance(value, tuple) and value else value
        if isinstance(found, RecordedExchange):
            self.exchange, self.told = found, ""
        else:
            self.told = not_found


def _merged(parts: tuple[FaultCounts, ...]) -> tuple[FaultCounts, ...]:
    """Keep few parts: those of a live record come every second."""
    if len(parts) < 2:
        return parts
    counts = tuple(count for part in parts for count in part.counts)
    sums: dict[tuple[int, str], tuple[int, int, int, int]] = {}
    for one in counts:
        before = sums.get((one.server_address, one.outcome), (0, 0, 0, 0))
        added = (one.count, one.late_credited, one.stray, one.foreign)
        sums[one.server_address, one.outcome] = (
            before[0] + added[0],
            before[1] + added[1],
            before[2] + added[2],
            before[3] + added[3],
        )
    whole = tuple(FaultCount(*key, *sums[key]) for key in sums)
    return (FaultCounts(whole, parts[-1].counted_to, parts[-1].last_number),)
