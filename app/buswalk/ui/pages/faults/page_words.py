"""The page as it is at one moment, in words: what is counted, what stands in the way, what is not to be told."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.bus.fault_queries import VisitSummary
from buswalk.domain.record_reader import RecordedExchange, RecordFacts
from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.empty_words import EmptyWords
from buswalk.ui.pages.faults.device_rows import DeviceTable
from buswalk.ui.pages.faults.exchange_picture import exchange_state
from buswalk.ui.pages.faults.exchange_state import ExchangeState
from buswalk.ui.pages.faults.faults_state import (
    FaultsState,
    FigureLine,
    FiguresState,
    MainAction,
    MarksState,
    SideFace,
    TimelineState,
)
from buswalk.ui.pages.faults.filter_desk import FilterDesk
from buswalk.ui.pages.faults.marks_desk import MarksDesk
from buswalk.ui.pages.faults.quality_words import quality_lines
from buswalk.ui.pages.faults.record_reading import RecordReading
from buswalk.ui.pages.faults.remembered import Remembered
from buswalk.ui.pages.faults.timeline_state import timeline_state
from buswalk.ui.pages.faults.watch_desk import WatchDesk
from buswalk.ui.share_words import share_words
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted, plural

BACK = "record"
"""Name of the button that shows the record of this visit again."""
BACK_WORDS = "Back to this visit"
SEARCHES_ONLY = "Only searches so far: nobody is expected at most of what they ask, so that they are not counted."


@dataclass(frozen=True, slots=True)
class ShownParts:
    """What the page is made of.

    Attributes:
        focus: The device whose figures are shown; 0 for none.
        told: What came of the last thing that was done.
        lanes: So many devices have room in the timeline.
        is_live: The record of this visit is shown.
        has_visit: A visit is recorded.
    """

    reading: RecordReading
    watch: WatchDesk
    marks: MarksDesk
    filters: FilterDesk
    table: DeviceTable
    focus: int
    side: SideFace
    told: str
    lanes: int
    now_s: float
    is_live: bool
    has_visit: bool


class PageWords:
    """Makes the page; keeps what is made of values that have not changed."""

    def __init__(self) -> None:
        self._timelines: Remembered[TimelineState] = Remembered()
        self._exchanges: Remembered[ExchangeState] = Remembered()
        self._figures: Remembered[FiguresState] = Remembered()

    def state(self, parts: ShownParts) -> FaultsState:
        """Return the whole page."""
        reading, focus = parts.reading, parts.focus
        recorded, summary, timeline = reading.exchange, reading.summary, reading.timeline
        marks, planned = (summary.marks, summary.planned) if summary is not None else ((), ())
        exchange = None
        if recorded is not None and summary is not None:
            key = (recorded, summary.facts.exchanges)
            exchange = self._exchanges.made(key, lambda: _exchange(recorded, summary))
        return _state(
            parts,
            self._timelines.made(
                (timeline, recorded, focus, parts.lanes, marks, parts.table), lambda: _timeline(parts)
            ),
            exchange,
            self._figures.made((reading.tally, focus, planned, reading.rows), lambda: _figures(parts)),
        )


def _state(
    parts: ShownParts, timeline: TimelineState, exchange: ExchangeState | None, figures: FiguresState
) -> FaultsState:
    reading, table = parts.reading, parts.table
    is_empty = not table.rows and (reading.is_counted or not reading.path) and not reading.problem
    marks = parts.marks.state(is_live=parts.is_live, now_s=parts.now_s) if reading.summary else MarksState()
    return FaultsState(
        sentence=_sentence(parts),
        main=_main(parts),
        band=_band(parts),
        empty=_empty(parts) if is_empty and not parts.filters.is_filtered else None,
        filters=parts.filters.choices(),
        is_filtered=parts.filters.is_filtered,
        typed_times=parts.filters.typed,
        rows=table.rows,
        chosen=table.lines.index(parts.focus) if parts.focus in table.lines else -1,
        timeline=timeline,
        exchange=exchange,
        no_exchange=reading.told or ("" if reading.exchange else _nothing_unclean(reading, table)),
        side=parts.side,
        figures=figures,
        marks=marks,
        watch=parts.watch.state(),
    )


def _main(parts: ShownParts) -> MainAction:
    return parts.watch.action() if parts.is_live else MainAction(BACK_WORDS)


def _nothing_unclean(reading: RecordReading, table: DeviceTable) -> str:
    if table.not_clean:
        return "F8 shows the latest exchange that was not clean."
    return "Every exchange was clean, as far as it is counted." if reading.is_counted else "Being read."


def _sentence(parts: ShownParts) -> str:
    reading, table = parts.reading, parts.table
    if reading.problem:
        return _capital(reading.problem)
    if parts.told:
        return _capital(parts.told)
    if reading.summary is None:
        return "The record is being read." if reading.path else "Nothing is recorded, so nothing can be counted."
    if not table.trials:
        if parts.filters.is_filtered:
            return "Nothing was asked under this filter."
        return SEARCHES_ONLY if reading.summary.facts.exchanges else "Nothing was asked yet."
    so_far = ", so far" if parts.is_live and parts.watch.is_watching else ""
    asked = f"{counted(table.asked)} asked{_since(reading.summary.facts)}{so_far}"
    if not table.not_clean:
        return f"{asked}, all clean: {share_words(0, table.trials)} fail (95 %)."
    most = max(table.shown, key=lambda one: one.not_clean)
    words = f"{asked}. {counted(table.not_clean)} not clean"
    if most.not_clean == table.not_clean:
        return f"{words}, all of them at {most.server_address}."
    return f"{words}, {counted(most.not_clean)} of them at {most.server_address}."


def _band(parts: ShownParts) -> BandState | None:
    if parts.is_live:
        return parts.watch.band()
    reading, action = parts.reading, (BandAction(BACK, BACK_WORDS, "F5"),)
    if reading.problem:
        return BandState(Tone.FAULT, "This record cannot be read", _capital(reading.problem), action)
    if reading.summary is None:
        return BandState(Tone.DOUBT, "Another record is opened", "It is being read.", action)
    facts = reading.summary.facts
    kind = "Recorded on a simulated line: no evidence. " if facts.is_simulated else ""
    meanwhile = "This visit goes on being recorded." if parts.has_visit else ""
    return BandState(Tone.DOUBT, f"Shown: {facts.name}{_days(facts)}, not this visit", f"{kind}{meanwhile}", action)


def _empty(parts: ShownParts) -> EmptyWords:
    action = _main(parts)
    facts = parts.reading.summary.facts if parts.reading.summary is not None else None
    if facts is not None and facts.exchanges:
        fact = SEARCHES_ONLY
    else:
        fact = _capital(action.refusal) if action.refusal else parts.watch.empty_fact()
    return EmptyWords(
        will_stand="Here stands what was not clean on this line: by device, when, and byte by byte.",
        fact=fact,
        button=action.words,
        key="F5",
        will_not="Reads only: one register of each device, in turn. Whatever other jobs ask is counted too.",
    )


def _timeline(parts: ShownParts) -> TimelineState:
    timeline, summary = parts.reading.timeline, parts.reading.summary
    if summary is None or timeline is None or not timeline.bins:
        return TimelineState()
    addresses = list(parts.table.worst_first) or ([parts.focus] if parts.focus else [])
    return timeline_state(timeline, summary, (addresses, parts.lanes), (parts.focus, parts.reading.exchange))


def _exchange(recorded: RecordedExchange, summary: VisitSummary) -> ExchangeState:
    began = next((one.started.wall_time for one in summary.facts.sessions if one.session == recorded.session), "")
    return exchange_state(recorded, summary.facts.exchanges, began)


def _figures(parts: ShownParts) -> FiguresState:
    reading, focus = parts.reading, parts.focus
    tally, summary = reading.tally, reading.summary
    if not focus or summary is None:
        return FiguresState()
    names = {one.server_address: one.name for one in summary.planned}
    title = f"{focus} {names.get(focus, '')}".rstrip()
    row = next((one for one in reading.rows if one.server_address == focus), None)
    if tally is None or tally.quality.row.server_address != focus or row is None:
        return FiguresState(title, (FigureLine("Figures", "are being counted"),))
    lines = quality_lines(tally, {one.session: one.wall_time_at(0.0) for one in summary.facts.sessions})
    if tally.quality.row.asked < row.asked:
        more = "" if tally.is_whole else ", more are being read"
        seen = f"the first {counted(tally.quality.row.asked)} of {counted(row.asked)}{more}"
        lines = (FigureLine("So far", seen, Tone.DOUBT), *lines)
    return FiguresState(title, lines)


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _since(facts: RecordFacts) -> str:
    first = next((one for one in facts.sessions if one.exchanges), None)
    return f" since {first.wall_time_at(0.0):%H:%M}" if first is not None and len(facts.sessions) == 1 else ""


def _days(facts: RecordFacts) -> str:
    if not facts.sessions:
        return ""
    first, last = facts.sessions[0].wall_time_at(0.0), facts.sessions[-1].wall_time_at(0.0)
    days = f"{first:%d %b %Y}" if first.date() == last.date() else f"{first:%d %b} to {last:%d %b %Y}"
    return f", {days}, {plural(len(facts.sessions), 'session')}"
