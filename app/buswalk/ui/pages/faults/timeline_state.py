"""When it was not clean, by device, with marks and times without a port, on a line from 0 to 1. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from buswalk.bus.fault_queries import VisitSummary
from buswalk.domain.record_faults import BinCount, FaultTimeline, TimeBin
from buswalk.domain.record_reader import RecordedExchange, RecordedSession
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.domain.visit.marks import Mark, mark_span
from buswalk.domain.visit.session_events import MarkSource, PortClosed, PortFailed, PortOpened, PortReturned
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.faults_state import TimelineLane, TimelinePoint, TimelineSpan, TimelineState, TimelineTick
from buswalk.ui.pages.faults.kind_words import kind_named, worst
from buswalk.ui.wording import counted, plural

BINS = 72
TICKS = 8
STEPS_S = (1, 2, 5, 10, 30, 60, 120, 300, 600, 1800, 3600, 7200, 21_600, 43_200, 86_400, 604_800)
LEAST_MARK = 0.004
"""A mark without length is still to be seen."""


@dataclass(frozen=True, slots=True)
class Axis:
    """Where line times of sessions lie between 0 and 1: sessions follow each other without the time between them."""

    bins: tuple[TimeBin, ...]

    def x(self, session: int, at_s: float) -> float:
        """Return the place of a time, held to the ends of its session; negative for a session that is not shown."""
        own = [(place, one) for place, one in enumerate(self.bins) if one.session == session]
        if not own:
            return -1.0
        place, found = next((one for one in own if at_s < one[1].to_s), own[-1])
        length_s = max(found.to_s - found.from_s, 1e-9)
        share = min(1.0, max(0.0, (at_s - found.from_s) / length_s))
        return (place + share) / len(self.bins)

    def covers(self, span: MarkedSpan) -> tuple[float, float] | None:
        """Return both ends of a span; None where it lies outside of all that is shown."""
        own = [one for one in self.bins if one.session == span.session]
        if not own or span.to_s < own[0].from_s or span.from_s > own[-1].to_s:
            return None
        return self.x(span.session, span.from_s), self.x(span.session, min(span.to_s, own[-1].to_s))


def timeline_state(
    timeline: FaultTimeline,
    summary: VisitSummary,
    addresses: tuple[Sequence[int], int],
    chosen: tuple[int, RecordedExchange | None],
) -> TimelineState:
    """Return the picture; `addresses` with how many of them have room, `chosen` with the focused device and
    the shown exchange."""
    axis = Axis(timeline.bins)
    device, exchange = chosen
    lanes = lanes_of(addresses[0], device, addresses[1])
    left_out = len(addresses[0]) - len(lanes)
    return TimelineState(
        tuple(_lane(one, timeline, is_chosen=one == device) for one in lanes),
        _marks(summary.marks, axis),
        gaps_without_port(summary, axis),
        _ticks(axis, summary.facts.sessions),
        (0, -1.0)
        if exchange is None
        else (exchange.exchange.server_address, axis.x(exchange.session, sent_at_s(exchange.exchange))),
        f"{plural(left_out, 'more device')} in the table" if left_out else "",
    )


def lanes_of(addresses: Sequence[int], device: int, most: int) -> tuple[int, ...]:
    """Return the first of these that have room, by address; the focused one is always among them."""
    lanes = list(addresses[:most])
    if device in addresses and device not in lanes:
        lanes[-1] = device
    return tuple(sorted(lanes))


def _lane(server_address: int, timeline: FaultTimeline, *, is_chosen: bool) -> TimelineLane:
    by_bin: dict[int, list[BinCount]] = {}
    for one in timeline.counts:
        if one.server_address == server_address:
            by_bin.setdefault(one.bin, []).append(one)
    points = tuple(_point(place, by_bin[place], len(timeline.bins)) for place in sorted(by_bin))
    return TimelineLane(server_address, points, is_chosen)


def _point(place: int, counts: list[BinCount], bins: int) -> TimelinePoint:
    kinds: dict[OutcomeKind, int] = {}
    for one in counts:
        kind = kind_named(one.outcome)
        if kind in (OutcomeKind.ANSWERED, OutcomeKind.REFUSED) and one.stray:
            kind = OutcomeKind.STRAY_BYTE
        kinds[kind] = kinds.get(kind, 0) + one.count
    told = ", ".join(f"{counted(count)} {kind.word}" for kind, count in kinds.items())
    return TimelinePoint((place + 0.5) / bins, worst(list(kinds)), told)


def _marks(marks: Sequence[Mark], axis: Axis) -> tuple[TimelineSpan, ...]:
    spans = []
    for one in marks:
        if one.source is MarkSource.PROGRAM:
            continue
        ends = axis.covers(mark_span(one))
        if ends is not None:
            # What a hand or the clock did is a moment: that it lasts is not said by it.
            lasts = not one.is_moment
            to_x = ends[1] if lasts else ends[0]
            spans.append(TimelineSpan(ends[0], max(to_x, ends[0] + LEAST_MARK), one.words))
    return tuple(spans)


def gaps_without_port(summary: VisitSummary, axis: Axis) -> tuple[TimelineSpan, ...]:
    """Return when there was no port: nothing was asked, so nothing can have gone wrong."""
    gaps: list[MarkedSpan] = []
    lost: dict[int, float] = {}
    for one in summary.events:
        match one.event:
            case PortFailed() | PortClosed():
                lost.setdefault(one.session, one.at_s)
            case PortReturned() | PortOpened() if one.session in lost:
                gaps.append(MarkedSpan(one.session, lost.pop(one.session), one.at_s))
            case _:
                pass
    gaps += [MarkedSpan(session, at_s, inf) for session, at_s in lost.items()]
    placed = [axis.covers(one) for one in gaps]
    return tuple(TimelineSpan(*ends, "no port") for ends in placed if ends is not None and ends[1] > ends[0])


def _ticks(axis: Axis, sessions: Sequence[RecordedSession]) -> tuple[TimelineTick, ...]:
    """Return round times of day; a session that begins on another day tells its date."""
    if not axis.bins:
        return ()
    length_s = sum(one.to_s - one.from_s for one in axis.bins)
    step_s = next((one for one in STEPS_S if length_s / one <= TICKS), STEPS_S[-1])
    ticks: list[TimelineTick] = []
    day = None
    for session in sessions:
        own = [one for one in axis.bins if one.session == session.session]
        if not own:
            continue
        begin = session.wall_time_at(0.0)
        past_s = begin.hour * 3600 + begin.minute * 60 + begin.second
        first = -(-(past_s + own[0].from_s) // step_s) * step_s - past_s
        at_s = first
        while at_s <= own[-1].to_s and len(ticks) < 4 * TICKS:
            moment = session.wall_time_at(at_s)
            words = f"{moment:%H:%M:%S}" if step_s < 60 else f"{moment:%H:%M}"
            if moment.date() != day and day is not None:
                words = f"{moment:%d %b}"
            day = moment.date()
            ticks.append(TimelineTick(axis.x(session.session, at_s), words))
            at_s += step_s
    return tuple(ticks)
