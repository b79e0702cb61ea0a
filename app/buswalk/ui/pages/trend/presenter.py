"""Decides what the page Trend shows: which points, which span, where the cursor is; knows no Qt."""

from __future__ import annotations

import math
from dataclasses import replace

from buswalk.bus.messages import Kept, RecordTold, StreamItem
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.registers.watched_choice import WatchedChoice
from buswalk.domain.trend.export_table import ExportColumn, ExportMark, ExportTable
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, SessionStarted
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.trend.gap_names import gap_names
from buswalk.ui.pages.trend.hand_desk import HandDesk
from buswalk.ui.pages.trend.mark_list import MarkList
from buswalk.ui.pages.trend.period_words import retries_words
from buswalk.ui.pages.trend.picking import Picking
from buswalk.ui.pages.trend.plot_layout import plot_layout
from buswalk.ui.pages.trend.side_cards import Moment, SideCards
from buswalk.ui.pages.trend.time_window import TimeWindow
from buswalk.ui.pages.trend.trend_state import GapName, MarkFlag, PlotsState, TrendState
from buswalk.ui.pages.trend.trend_words import reading
from buswalk.ui.pages.trend.unread_points import UnreadPoints
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedBoard, WatchedPoint
from buswalk.ui.pages.trend.ways import TrendWays
from buswalk.ui.pages.trend.working_out import Asked, WorkingOut
from buswalk.ui.wording import address_list, plural, seconds_words, stamp

STEP_S = 1.0
TOLD_TICKS, LISTENING_TICKS = 80, 10
WATCH_JOB = "watch"
NOTHING_CHOSEN = "choose points first: F2"


class TrendPresenter:
    """Holds the state; values come from the stream, whether the page is shown or not."""

    def __init__(self, commands: Commands, ways: TrendWays) -> None:
        self._commands = commands
        self._ways = ways
        self.board = WatchedBoard()
        self._marks = MarkList()
        self._work = WorkingOut(ways)
        self.unread = UnreadPoints()
        self.picking = Picking(self.board, self.unread, ways)
        self.hand = HandDesk(self.board, ways)
        self._cards = SideCards()
        self._window = TimeWindow()
        self._cursor_s: float | None = None
        self._chosen: PointKey | None = None
        self._mark_row: int | None = None
        self._tab = 0
        self._face = 0
        self._wall_time = ""
        self._is_simulated = False
        self._is_watching = False
        self._told = ""
        self._told_ticks = 0
        self._picture_wanted = ""
        self._now_s = 0.0
        self._record_name = ""

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        match item:
            case RecordTold(state):
                self._record_name = state.path.replace("\\", "/").rsplit("/", 1)[-1]
            case Kept(row=row, event=event, at_s=at_s):
                self._take_event(row, event, at_s)
            case _:
                pass

    def _take_event(self, row: int, event: object, at_s: float) -> None:
        self.unread.take(event)
        match event:
            case SessionStarted(wall_time=wall_time, is_simulated=is_simulated):
                self.board.forget()
                self._marks.forget()
                self._wall_time, self._is_simulated = wall_time, is_simulated
                self._cursor_s = self._chosen = self._mark_row = None
            case JobStarted(name=name):
                self._is_watching = name == WATCH_JOB
            case JobEnded(sentence=sentence, end=end):
                self._is_watching = False
                if end not in (JobEndKind.FINISHED, JobEndKind.STOPPED):
                    self.tell(sentence)
            case PointsWatched():
                self.picking.watched(event)
                self.board.take(event)
            case _:
                if isinstance(event, SamplesTaken) and self._told_ticks > LISTENING_TICKS:
                    self._told = ""
                self._marks.take(row, event, at_s)
                self.board.take(event)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = line_time_s
        self._told_ticks += 1
        if self._told_ticks > TOLD_TICKS:
            self._told = ""
        self.board.settle()
        points = self.shown_points
        if points:
            self._window = self._window.followed(self._first_s(points), self._last_s(points))
            self._ask(points)

    # What the user does

    def main_action(self) -> None:
        """F5: watch, or pause."""
        if self._is_watching:
            self._commands.stop()
        elif not self.picking.choice.points:
            self.picking.open()
        else:
            self.picking.close()
            self.tell(self._ways.start(self.picking.choice))

    def choose_window(self, choice: int) -> None:
        """Follow 4 min, 16 min, 1 h or all."""
        self._window = self._window.chosen(choice)
        self.tick(self._now_s)

    def pan(self, share: float) -> None:
        """Move the window by a share of its length."""
        self._window = self._window.panned(share)

    def zoom(self, factor: float, around_s: float | None = None) -> None:
        """Show more or less time, round a moment or the cursor."""
        points = self.shown_points
        if not points:
            return
        middle_s = (self._window.begins_s + self._window.ends_s) / 2.0
        around_s = around_s if around_s is not None else self._cursor_s if self._cursor_s is not None else middle_s
        longest_s = 1.1 * max(self._last_s(points) - self._first_s(points), self._window.seconds / 1.1)
        self._window = self._window.zoomed(factor, around_s, longest_s)

    def move_cursor(self, steps: int) -> None:
        """Move the cursor by so many seconds; the first press puts it at the newest value in sight."""
        points = self.shown_points
        if not points:
            return
        newest_s = min(self._last_s(points), self._window.ends_s)
        at_s = newest_s if self._cursor_s is None else self._cursor_s + steps * STEP_S
        self.put_cursor(at_s)

    def put_cursor(self, at_s: float) -> None:
        """Put the cursor at a moment, and bring it into sight."""
        points = self.shown_points
        if not points:
            return
        self._cursor_s = min(max(at_s, self._first_s(points)), self._last_s(points))
        self._window = self._window.holding(self._cursor_s)

    def cursor_home(self) -> None:
        """Put the cursor where the window begins."""
        self.put_cursor(self._window.begins_s)

    def cursor_end(self) -> None:
        """Let readings follow the newest value again."""
        self._cursor_s = None

    def choose_point(self, row: int) -> None:
        """Choose the point that the cards tell of: a row of the readings as they stand."""
        keys = self._cards.keys
        if 0 <= row < len(keys):
            self._chosen = keys[row]

    def choose_face(self, face: int) -> None:
        """Show readings, who moved, or who goes along."""
        self._face = face

    def choose_mark(self, row: int) -> None:
        """Choose a row of the list of marks and gaps: the cursor goes there."""
        at_s, flag = self._cards.place(row)
        if at_s is None:
            return
        if flag is not None:
            self._mark_row = flag.row
        self.put_cursor(at_s)

    def choose_tab(self, tab: int) -> None:
        """Show another unit in the lowest plot."""
        self._tab = tab

    def pick(self) -> None:
        """Open the choice of points, or close it."""
        if self.picking.is_open:
            self.picking.close()
        else:
            self.picking.open()

    def bring_in_hand(self) -> None:
        """Lay a hand instrument's log beside, in time with the chosen point."""
        points = self.shown_points
        self.hand.bring_in(self._wall_time, self._first_s(points), self._chosen_point(points))

    def fit_hand(self) -> None:
        """Shift the log to where it agrees best with the chosen point."""
        self.hand.fit(self._chosen_point(self.shown_points))

    def export(self) -> None:
        """Write what is shown into a file that somebody chooses: its ending says what it is."""
        points = self.shown_points
        if not points:
            return
        path = self._ways.choose_export("trend.png")
        if path.lower().endswith(".png"):
            self._picture_wanted = path
        elif path:
            self._ways.save_table(path, self._table(points), self.tell)

    def picture_drawn(self, sentence: str) -> None:
        """The picture that was wanted is drawn, or could not be."""
        self._picture_wanted = ""
        self.tell(sentence)

    def mark(self) -> None:
        """Mark this moment, as Ctrl+M does."""
        self._ways.mark()

    def tell(self, sentence: str) -> None:
        """Say what came of something, for some seconds."""
        self._told, self._told_ticks = sentence, 0

    # What is shown

    @property
    def shown_points(self) -> tuple[WatchedPoint, ...]:
        """The points that are drawn, in order."""
        return self.picking.shown()

    @property
    def state(self) -> TrendState:
        """Everything that the view draws."""
        points = self.shown_points
        has_values = any(len(one.series) for one in self.board.points.values())
        state = TrendState(
            is_empty=not has_values,
            sentence=self._told or self._sentence(points),
            main_words=self._main_words,
            is_picking=self.picking.is_open,
            pick=self.picking.state(self.hand.told),
            told=self._told,
            picture_wanted=self._picture_wanted,
        )
        return self._with_values(state, points) if has_values else state

    def _with_values(self, state: TrendState, points: tuple[WatchedPoint, ...]) -> TrendState:
        gaps = gap_names(points, self._window.begins_s, self._window.ends_s)
        mark = self._mark()
        chosen = self._chosen_point(points)
        told = self._work.told_of(chosen.key, mark.row if mark else 0) if chosen else None
        all_gaps = gap_names(points, self._first_s(points), self._last_s(points)) if points else ()
        cards = self._cards
        at_s = self._reading_s(points)
        at_words = f"{'At' if self._cursor_s is not None else 'Now,'} {stamp(self._wall_time, at_s)}"
        return replace(
            state,
            every=self._every(points),
            plots=self._plots(points, gaps),
            readings=cards.readings(self._face, points, chosen, Moment(at_s, at_words), told, self.board.points),
            before=cards.before(chosen, mark, told),
            after=cards.after(chosen, mark, told, self.board.points),
            marks=cards.marks(self._marks.flags, all_gaps, self._wall_time),
            chosen_mark=cards.row_of(mark),
        )

    def _plots(self, points: tuple[WatchedPoint, ...], gaps: tuple[GapName, ...]) -> PlotsState:
        layout = plot_layout(points, self._tab)
        cursor_words = "" if self._cursor_s is None else f"cursor {stamp(self._wall_time, self._cursor_s)}"
        at_s = self._reading_s(points)
        spoken = tuple(f"{one.name}: {reading(one, at_s)[0]}" for one in points)
        return PlotsState(
            layout.plots,
            self._window,
            tuple(one for one in self._marks.flags if one.touches(self._window.begins_s, self._window.ends_s)),
            gaps,
            self._cursor_s,
            cursor_words,
            self._wall_time,
            self.board.version,
            layout.tabs,
            layout.tab,
            spoken,
        )

    @property
    def _main_words(self) -> str:
        if self._is_watching:
            return "Pause"
        count = self.picking.choice.points
        return f"Watch {plural(count, 'point')}" if count else "Choose points"

    def _sentence(self, points: tuple[WatchedPoint, ...]) -> str:
        if not points:
            return "No point is drawn: choose with F2." if self.board.points else "Nothing watched yet."
        devices = address_list([one.key.device for one in points if one.key.device])
        gaps = len(gap_names(points, self._first_s(points), self._last_s(points)))
        marks = len(self._marks.flags)
        since = f" since {stamp(self._wall_time, self._first_s(points))}" if self._wall_time else ""
        lost = f"{plural(gaps, 'gap')}{since}" if gaps else f"nothing lost{since}"
        who = f"{plural(len(points), 'point')} of {devices or 'a hand instrument'}"
        return f"{who}. {plural(marks, 'mark')}, {lost}. {self.unread.sentence}".rstrip()

    def _every(self, points: tuple[WatchedPoint, ...]) -> str:
        periods = [one.series.period_s for one in points if one.key.device and not math.isnan(one.series.period_s)]
        if not periods:
            return ""
        low, high = min(periods), max(periods)
        devices = plural(len({one.key.device for one in points if one.key.device}), "device")
        low, high = round(low, 1), round(high, 1)
        every = seconds_words(low) if high - low < 0.1 * high else f"{seconds_words(low)} to {seconds_words(high)}"
        return f"Every {every}, {devices}{retries_words(self.picking.choice.retries)}"

    # Inside

    def _ask(self, points: tuple[WatchedPoint, ...]) -> None:
        chosen, mark = self._chosen_point(points), self._mark()
        if chosen is None:
            return
        if mark is None:
            span = (self._window.begins_s, self._window.ends_s)
            asked = Asked(chosen.key, 0, *span, self.board.version)
            self._work.want(asked, None, points)
            return
        begins_s = max((one.at_s for one in self._marks.flags if one.at_s < mark.at_s), default=self._first_s(points))
        ends_s = mark.ends_s if mark.ends_s is not None else self._marks.next_after(mark.at_s)
        ends_s = min(ends_s, self._last_s(points))
        everyone = tuple(one for one in self.board.points.values() if len(one.series))
        self._work.want(Asked(chosen.key, mark.row, begins_s, ends_s, self.board.version), mark.at_s, everyone)

    def _mark(self) -> MarkFlag | None:
        flags = self._marks.flags
        chosen = next((one for one in flags if one.row == self._mark_row), None)
        return chosen or (flags[-1] if flags else None)

    def _chosen_point(self, points: tuple[WatchedPoint, ...]) -> WatchedPoint | None:
        if self._chosen in self.board.points:
            return self.board.points[self._chosen]
        return points[0] if points else None

    def _reading_s(self, points: tuple[WatchedPoint, ...]) -> float:
        return self._cursor_s if self._cursor_s is not None else self._last_s(points) if points else 0.0

    def _table(self, points: tuple[WatchedPoint, ...]) -> ExportTable:
        window = self._window
        columns = tuple(
            ExportColumn(
                f"{one.name}, {one.unit}" if one.unit else one.name,
                one.decimals,
                one.series.samples.between(window.begins_s, window.ends_s),
            )
            for one in points
        )
        flags = [one for one in self._marks.flags if window.begins_s <= one.at_s <= window.ends_s]
        marks = tuple(ExportMark(one.at_s, f"{one.number} {one.words}") for one in flags)
        made_up = "simulated line, no evidence; " if self._is_simulated else ""
        return ExportTable(self._wall_time, columns, marks, f"{made_up}record {self._record_name or 'none'}")

    def _first_s(self, points: tuple[WatchedPoint, ...]) -> float:
        return min((one.series.first_s for one in points if len(one.series)), default=0.0)

    def _last_s(self, points: tuple[WatchedPoint, ...]) -> float:
        return max((one.series.last_s for one in points if len(one.series)), default=0.0)

    @property
    def watch_choice(self) -> WatchedChoice:
        """Which points F5 watches."""
        return self.picking.choice
