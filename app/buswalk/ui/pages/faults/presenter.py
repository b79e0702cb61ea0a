"""What the page Faults shows and does. No Qt, no file, no record: these are asked for by ways that are handed in."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.fault_queries import VisitSummary
from buswalk.bus.fault_sums import Contrast
from buswalk.bus.messages import Kept, RecordTold, StreamItem
from buswalk.domain.line_events import ExchangeDone, LateReply, SettingsApplied, StrayArrival
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.record_reader import EndedInOrder, RecordedExchange
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.statistics.outcome_table import OutcomeRow
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.domain.visit.marks import Mark
from buswalk.domain.watching.events import WatchProgress
from buswalk.ui.live.feed import Commands
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.device_rows import DeviceTable, device_table
from buswalk.ui.pages.faults.faults_state import (
    FaultsState,
    MainAction,
    SideFace,
)
from buswalk.ui.pages.faults.filter_desk import FilterDesk
from buswalk.ui.pages.faults.marks_desk import MarksDesk
from buswalk.ui.pages.faults.page_words import BACK, PageWords, ShownParts
from buswalk.ui.pages.faults.record_news import RecordNews
from buswalk.ui.pages.faults.record_reading import RecordReading
from buswalk.ui.pages.faults.remembered import Remembered
from buswalk.ui.pages.faults.timeline_state import lanes_of
from buswalk.ui.pages.faults.watch_desk import WatchDesk
from buswalk.ui.pages.faults.ways import FaultWays, FileKind
from buswalk.ui.pages.page import RailNote
from buswalk.ui.wording import counted

USUAL_LANES = 4
MOST_IN_NOTE = 10_000
READ_FROM_RECORD = ExchangeDone | StrayArrival | LateReply | SettingsApplied | ListeningEnded | WatchProgress
"""What changes nothing here before the record is read anew."""


class FaultsPresenter:
    """Joins record, filter, marks and watch into one state, made when it is looked at."""

    def __init__(self, commands: Commands, ways: FaultWays) -> None:
        self._ways = ways
        self.watch = WatchDesk(commands, ways.timers)
        self.marks = MarksDesk(commands)
        self.filters = FilterDesk()
        self.reading = RecordReading(ways.ask, self)
        self._live_path, self._opened_path = "", ""
        self._news = RecordNews()
        self._now_s = 0.0
        self._device = 0
        self._seen: set[int] = set()
        self._lanes = USUAL_LANES
        self._side = SideFace.FIGURES
        self._told = ""
        self._is_stale = True
        self._state = FaultsState("", MainAction("Watch"))
        self._table = DeviceTable((), (), (), 0, 0, 0)
        self._tables: Remembered[DeviceTable] = Remembered()
        self._words = PageWords()

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        before = self.watch.is_watching
        self.watch.take(item)
        match item:
            case RecordTold(told) if told.path != self._live_path:
                self._live_path = told.path
                if not self._opened_path:
                    self._open(told.path)
            case Kept(event=event):
                self._news.take(event)
                self._is_stale = self._is_stale or not isinstance(event, READ_FROM_RECORD)
            case _:
                pass
        if self.watch.is_watching is not before:
            self._is_stale = True

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now; ten times a second."""
        self._now_s = line_time_s
        if self.watch.knows_other_timers():
            self._is_stale = True
        self._news.tick()
        if self._opened_path or self.reading.is_busy:
            return
        due = self._news.due()
        if due is None:
            return
        if due.recounts:
            self.reading.recount()
        if due.recounts_marks and self._side is SideFace.MARKS:
            self.marks.recount()
        self.reading.refresh()

    # What the reading asks

    def wanted(self, summary: VisitSummary) -> FaultFilter:
        """The filter."""
        self.marks.take_summary(summary)
        self._offer(summary)
        return self.filters.wanted(summary, self._last_s(summary))

    def _offer(self, summary: VisitSummary) -> None:
        """Offer every device that was ever in the table: a filter must not take the others out of its own list."""
        self._seen |= {one.server_address for one in self.reading.rows}
        names = {one.server_address: one.name for one in summary.planned}
        self.filters.offer(summary, tuple(sorted(self._seen)), names)

    def _last_s(self, summary: VisitSummary) -> float:
        if not self._opened_path:
            return self._now_s
        ends = [one.end.at_s for one in summary.facts.sessions if one.exchanges and isinstance(one.end, EndedInOrder)]
        timeline = self.reading.timeline
        if ends:
            return ends[-1]
        return timeline.bins[-1].to_s if timeline is not None and timeline.bins else self._now_s

    def focused(self, rows: tuple[OutcomeRow, ...], summary: VisitSummary) -> int:
        """The device whose figures are wanted: the chosen one, else that of the shown exchange, else the first."""
        self._table = self._table_of(rows, summary)
        self._offer(summary)
        asked = {one.server_address for one in rows}
        if self._device in asked:
            return self._device
        exchange = self.reading.exchange
        if exchange is not None and exchange.exchange.server_address in asked:
            return exchange.exchange.server_address
        return self._table.troubled[0] if self._table.troubled else min(asked, default=0)

    def chosen_device(self) -> int:
        """The device that the user chose; 0 for none."""
        return self._device

    def mark_to_count(self) -> Mark | None:
        """Marks are counted only while they are looked at."""
        return self.marks.to_count if self._side is SideFace.MARKS else None

    def take_contrast(self, mark: Mark, contrast: Contrast) -> None:
        """Take counts around a mark."""
        self.marks.take_contrast(mark, contrast)
        self._is_stale = True

    def changed(self) -> None:
        """Something new is known."""
        self._is_stale = True

    # What the user does

    def main_action(self) -> None:
        """F5: back to this visit where another record is shown; else watch, pause, go on."""
        if self._opened_path:
            self.show_live()
        else:
            self.watch.main()
        self._is_stale = True

    def choose_record(self) -> None:
        """Open an older record beside the one that is being written."""
        path = self._ways.choose_record()
        if not path or path == self._live_path:
            return
        self._opened_path = path
        self._open(path)

    def show_live(self) -> None:
        """Show the record of this visit again."""
        self._opened_path = ""
        self._open(self._live_path)

    def _open(self, path: str) -> None:
        self._told, self._device = "", 0
        self._seen.clear()
        self.filters.forget()
        self.marks.forget()
        self._table = DeviceTable((), (), (), 0, 0, 0)
        self.reading.open(path)
        self._is_stale = True

    def choose_filter(self, place: int, index: int) -> None:
        """Choose another word of the filter line."""
        self.filters.choose(place, index)
        self._filter_changed()

    def type_times(self, from_text: str, to_text: str) -> None:
        """Look between two times as they were typed."""
        summary = self.reading.summary
        if summary is not None:
            self.filters.type_times(from_text, to_text, summary)
            self._filter_changed()

    def clear_filters(self) -> None:
        """Look at everything again."""
        self.filters.forget()
        self._filter_changed()

    def look_around(self) -> None:
        """Look at the ten minutes around the shown exchange."""
        exchange = self.reading.exchange
        if exchange is not None:
            self.filters.choose_around(exchange.session, sent_at_s(exchange.exchange))
            self._filter_changed()

    def _filter_changed(self) -> None:
        self.marks.recount()
        self.reading.begin_anew()
        self._is_stale = True

    def choose_row(self, row: int) -> None:
        """Focus a device, or an own line for several."""
        if 0 <= row < len(self._table.lines) and self._table.lines[row] > 0:
            self.choose_device(self._table.lines[row])

    def choose_device(self, server_address: int) -> None:
        """Focus a device: its figures, and its latest exchange that was not clean."""
        if server_address == self._focus:
            return
        self._device = server_address
        self.reading.begin_anew()
        self.reading.show_latest(server_address)
        self._is_stale = True

    def exchange_found(self, recorded: RecordedExchange) -> None:
        """An exchange was walked to: its device is the one whose figures are shown."""
        if recorded.exchange.server_address != self._device:
            self._device = recorded.exchange.server_address
            self.reading.begin_anew()

    def fit_lanes(self, lanes: int) -> None:
        """So many devices have room in the timeline."""
        if lanes != self._lanes:
            self._lanes = lanes
            self._is_stale = True

    def open_row(self, row: int) -> None:
        """Enter in the table: show the latest exchange of that device that was not clean."""
        if 0 <= row < len(self._table.lines) and self._table.lines[row] > 0:
            self.reading.show_latest(self._table.lines[row])

    def step_lane(self, step: int) -> None:
        """Up and down in the timeline: to the device above or below."""
        lanes = lanes_of(self._table.worst_first, self._focus, self._lanes)
        if self._focus in lanes:
            at = lanes.index(self._focus) + step
            if 0 <= at < len(lanes):
                self.choose_device(lanes[at])

    def walk_device(self, step: int) -> None:
        """Left and right in the timeline: the neighbour of the shown exchange, of the same device."""
        self.reading.walk(step, self._focus)

    def walk_abnormal(self, step: int) -> None:
        """F8 and Shift+F8."""
        self.reading.walk(step)

    def show_exchange(self, number: int) -> None:
        """Show one exchange of the record that is being written: the strip asks for it."""
        if self._opened_path:
            self.show_live()
        self._told = ""
        self.reading.show_number(number)

    def choose_side(self, index: int) -> None:
        """Figures, marks or watch."""
        self._side = list(SideFace)[index]
        if self._side is SideFace.MARKS:
            self.marks.recount()
            self.reading.refresh()
        self._is_stale = True

    def choose_mark(self, index: int) -> None:
        """Choose a mark of the list."""
        self.marks.choose(index)
        self.reading.refresh()
        self._is_stale = True

    def act_on_mark(self, act: Callable[[], None]) -> None:
        """Do something to marks, where they can be changed."""
        if not self._opened_path:
            act()
            self._is_stale = True

    def end_mark_now(self) -> None:
        """Let the chosen mark end."""
        self.act_on_mark(lambda: self.marks.end_now(self._now_s))

    def choose_period(self, index: int) -> None:
        """How often a watch asks."""
        self.watch.choose_period(index)
        self._is_stale = True

    def choose_share(self, index: int) -> None:
        """How much of the line it takes."""
        self.watch.choose_share(index)
        self._is_stale = True

    def choose_wait(self, index: int) -> None:
        """How long it waits for a reply."""
        self.watch.choose_wait(index)
        self._is_stale = True

    def pressed(self, name: str) -> None:
        """A button of the page's band."""
        if name == BACK:
            self.show_live()
        else:
            self.watch.pressed(name)
        self._is_stale = True

    def export(self) -> None:
        """Ctrl+E."""
        self._hand_over(FileKind.TABLES)

    def print_sheet(self) -> None:
        """Ctrl+P."""
        self._hand_over(FileKind.PAGES)

    def _hand_over(self, kind: FileKind) -> None:
        path = self.reading.path
        if not path:
            self._tell("nothing is recorded, so there is nothing to hand over")
            return
        name = self._ways.export(path, kind, self.reading.wanted, self._tell)
        self._tell(f"{name} is being written; this may take a while" if name else "")

    def _tell(self, sentence: str) -> None:
        self._told = sentence
        self._is_stale = True

    # What is shown

    @property
    def note(self) -> RailNote:
        """How many were not clean."""
        if self._opened_path or not self._table.not_clean:
            return RailNote()
        rows = self._table.shown
        has_damage = any(one.damaged or one.short for one in rows)
        shape = OutcomeKind.DAMAGED if has_damage else OutcomeKind.NO_REPLY
        count = self._table.not_clean
        words = counted(count) if count < MOST_IN_NOTE else f"{counted(count // 1000)} k"
        return RailNote(f"{words} not clean", shape)

    @property
    def state(self) -> FaultsState:
        """The page as it is now."""
        if self._is_stale:
            self._is_stale = False
            self._state = self._made()
        return self._state

    @property
    def _focus(self) -> int:
        summary = self.reading.summary
        return self.focused(self.reading.rows, summary) if summary is not None else 0

    def _table_of(self, rows: tuple[OutcomeRow, ...], summary: VisitSummary) -> DeviceTable:
        def make() -> DeviceTable:
            names = {one.server_address: one.name for one in summary.planned}
            known = frozenset(names) | {one.server_address for one in summary.found}
            return device_table(rows, names, known, self.reading.limits)

        return self._tables.made((rows, summary, self.reading.limits), make)

    def _made(self) -> FaultsState:
        focus = self._focus
        return self._words.state(
            ShownParts(
                self.reading,
                self.watch,
                self.marks,
                self.filters,
                self._table,
                focus,
                self._side,
                self._told,
                self._lanes,
                self._now_s,
                is_live=not self._opened_path,
                has_visit=bool(self._live_path),
            )
        )
