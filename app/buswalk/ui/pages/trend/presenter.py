"""Decides what the page Trend shows: which points, which span, where the cursor is; knows no Qt."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Kept, RecordTold, StreamItem
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.registers.watched_choice import WatchedChoice
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, SessionStarted
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.trend.figures_desk import FiguresDesk, LookedAt
from buswalk.ui.pages.trend.gap_names import gap_names
from buswalk.ui.pages.trend.hand_desk import HandDesk
from buswalk.ui.pages.trend.held_watch import HeldWatch
from buswalk.ui.pages.trend.page_words import every_words, export_table, summary_sentence
from buswalk.ui.pages.trend.picking import Picking
from buswalk.ui.pages.trend.plot_layout import plot_layout
from buswalk.ui.pages.trend.record_desk import BACK_WORDS, RecordDesk
from buswalk.ui.pages.trend.shown_visit import ShownVisit
from buswalk.ui.pages.trend.side_cards import Moment, SideCards
from buswalk.ui.pages.trend.time_window import ALL, TimeWindow
from buswalk.ui.pages.trend.trend_state import GapName, MarkFlag, PlotsState, TrendState
from buswalk.ui.pages.trend.trend_words import reading
from buswalk.ui.pages.trend.unread_points import UnreadPoints
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedBoard, WatchedPoint
from buswalk.ui.pages.trend.ways import TrendWays
from buswalk.ui.wording import plural, stamp

STEP_S = 1.0
TOLD_TICKS, LISTENING_TICKS = 80, 10
WATCH_JOB = "watch"
NOTHING_CHOSEN = "choose points first: F2"


class TrendPresenter:
    """Holds the state; values come from the stream, whether the page is shown or not."""

    def __init__(self, commands: Commands, ways: TrendWays) -> None:
        self._commands = commands
        self._ways = ways
        self._live = self._shown = self._entered = ShownVisit()
        self.desk = RecordDesk(ways)
        self._figures = FiguresDesk(ways)
        self.unread = UnreadPoints()
        self.picking = Picking(self._live.board, self.unread, ways)
        self.hand = HandDesk(self._live.board, ways)
        self._cards = SideCards()
        self._window = self._live_window = TimeWindow()
        self._cursor_s: float | None = None
        self._chosen: PointKey | None = None
        self._mark_row: int | None = None
        self._tab = 0
        self._face = 0
        self._is_watching = False
        self._held = HeldWatch()
        self._told = ""
        self._told_ticks = 0
        self._picture_wanted = ""
        self._now_s = 0.0

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        match item:
            case RecordTold(state):
                self._live.record_name = state.path.replace("\\", "/").rsplit("/", 1)[-1]
                self.desk.recorded_at(state.path)
            case Kept(row=row, event=event, at_s=at_s):
                self._take_event(row, event, at_s)
            case _:
                pass

    def _take_event(self, row: int, event: object, at_s: float) -> None:
        self.unread.take(event)
        self._held.take(event)
        live = self._live
        match event:
            case SessionStarted(wall_time=wall_time, is_simulated=is_simulated):
                live.board.forget()
                live.marks.forget()
                live.wall_time, live.is_simulated = wall_time, is_simulated
                if self._entered is live:
                    self._cursor_s = self._chosen = self._mark_row = None
            case JobStarted(name=name):
                self._is_watching = name == WATCH_JOB
            case JobEnded(sentence=sentence, end=end):
                self._is_watching = False
                if end not in (JobEndKind.FINISHED, JobEndKind.STOPPED):
                    self.tell(sentence)
            case PointsWatched():
                self.picking.watched(event)
                live.board.take(event)
            case _:
                if isinstance(event, SamplesTaken) and self._told_ticks > LISTENING_TICKS:
                    self._told = ""
                live.marks.take(row, event, at_s)
                live.board.take(event)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = line_time_s
        self._told_ticks += 1
        if self._told_ticks > TOLD_TICKS:
            self._told = ""
        self._live.board.settle()
        self._enter()
        points = self.shown_points
        if points:
            self._window = self._window.followed(self._shown.first_s(points), self._shown.last_s(points))
            self._read(points)
            self._figures.ask(self._looked_at(self.shown_points))

    def _enter(self) -> None:
        """Show what the desk says is shown: cursor, marks and window of another visit mean nothing here."""
        entered = self.desk.shown or self._live
        if entered is self._entered:
            return
        if self._entered is self._live:
            self._live_window = self._window
        self.hand.remove()
        self._figures.forget()
        self._entered = self._shown = entered
        self._cursor_s = self._chosen = self._mark_row = None
        is_live = entered is self._live
        self._window = self._live_window if is_live else TimeWindow().chosen(ALL)
        (self.picking.show_live if is_live else self.picking.show_record)(entered.board)
        self.hand.use(entered.board)

    def _read(self, points: tuple[WatchedPoint, ...]) -> None:
        """Have read from the record what is in sight and not here."""
        sight = (self._window.begins_s, self._window.ends_s)
        keys = [one.key for one in points]
        if self._entered is self._live:
            is_held = not self._window.is_following
            self._shown = self.desk.closer(self._live, sight, keys) if is_held else self._live
        else:
            self.desk.read(sight, keys)

    # What the user does

    def main_action(self) -> None:
        """F5: watch, or pause."""
        if self.desk.is_open:
            self.back_to_visit()
        elif self._is_watching:
            self._commands.stop()
        elif not self.picking.choice.points:
            self.picking.open()
        else:
            self.picking.close()
            self._held.started()
            self.tell(self._ways.start(self.picking.choice))

    def back_to_visit(self) -> None:
        """Show the running session again; of it, what its band said was read."""
        self.desk.close()
        self._held.leave()
        self.tick(self._now_s)

    def choose_record(self) -> None:
        """Open another record; what runs goes on being recorded."""
        self.picking.close()
        told = self.desk.choose()
        if told:
            self.tell(told)
        self.tick(self._now_s)

    def choose_session(self, at: int) -> None:
        """Show another session of the record, or the running one."""
        self.desk.choose_session(at)
        self.tick(self._now_s)

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
        longest_s = 1.1 * max(self._shown.last_s(points) - self._shown.first_s(points), self._window.seconds / 1.1)
        self._window = self._window.zoomed(factor, around_s, longest_s)

    def move_cursor(self, steps: int) -> None:
        """Move the cursor by so many seconds; the first press puts it at the newest value in sight."""
        points = self.shown_points
        if not points:
            return
        newest_s = min(self._shown.last_s(points), self._window.ends_s)
        at_s = newest_s if self._cursor_s is None else self._cursor_s + steps * STEP_S
        self.put_cursor(at_s)

    def put_cursor(self, at_s: float) -> None:
        """Put the cursor at a moment, and bring it into sight."""
        points = self.shown_points
        if not points:
            return
        self._cursor_s = min(max(at_s, self._shown.first_s(points)), self._shown.last_s(points))
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
        self.hand.bring_in(self._shown.wall_time, self._shown.first_s(points), self._chosen_point(points))

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
            self._ways.save_table(path, export_table(points, self._shown, self._window), self.tell)

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
        points = self._shown.board.points
        return tuple(points.get(one.key, one) for one in self.picking.shown())

    @property
    def board(self) -> WatchedBoard:
        """All points that can be drawn, of the session that is shown."""
        return self._shown.board

    @property
    def state(self) -> TrendState:
        """Everything that the view draws."""
        points = self.shown_points
        has_values = self.desk.shown is not None or any(len(one.series) for one in self.board.points.values())
        sessions, chosen = self.desk.choices
        state = TrendState(
            is_empty=not has_values,
            sentence=self._told or self.desk.told or self._sentence(points),
            band=self.desk.band() or self._held.band(self._ways.beside()),
            sessions=sessions,
            session=chosen,
            is_live=not self.desk.is_open,
            main_words=self._main_words,
            is_picking=self.picking.is_open,
            pick=self.picking.state(self.hand.told),
            told=self._told,
            picture_wanted=self._picture_wanted,
        )
        return self._with_values(state, points) if has_values else state

    def _with_values(self, state: TrendState, points: tuple[WatchedPoint, ...]) -> TrendState:
        gaps = gap_names(points, self._window.begins_s, self._window.ends_s)
        looked = self._looked_at(points)
        chosen, mark, told = looked.chosen, looked.mark, self._figures.told(looked)
        all_gaps = gap_names(points, self._shown.first_s(points), self._shown.last_s(points)) if points else ()
        cards = self._cards
        at_s = self._reading_s(points)
        at_words = f"{'At' if self._cursor_s is not None else 'Now,'} {stamp(self._shown.wall_time, at_s)}"
        return replace(
            state,
            every=every_words(points, self.picking.choice.retries),
            plots=self._plots(points, gaps),
            readings=cards.readings(self._face, points, chosen, Moment(at_s, at_words), told, self.board.points),
            before=cards.before(chosen, mark, told),
            after=cards.after(chosen, mark, told, self.board.points),
            marks=cards.marks(self._shown.marks.flags, all_gaps, self._shown.wall_time),
            chosen_mark=cards.row_of(mark),
        )

    def _plots(self, points: tuple[WatchedPoint, ...], gaps: tuple[GapName, ...]) -> PlotsState:
        layout = plot_layout(points, self._tab)
        cursor_words = "" if self._cursor_s is None else f"cursor {stamp(self._shown.wall_time, self._cursor_s)}"
        at_s = self._reading_s(points)
        spoken = tuple(f"{one.name}: {reading(one, at_s)[0]}" for one in points)
        return PlotsState(
            layout.plots,
            self._window,
            tuple(one for one in self._shown.marks.flags if one.touches(self._window.begins_s, self._window.ends_s)),
            gaps,
            self._cursor_s,
            cursor_words,
            self._shown.wall_time,
            self.board.version,
            layout.tabs,
            layout.tab,
            spoken,
        )

    @property
    def _main_words(self) -> str:
        if self.desk.is_open:
            return BACK_WORDS
        if self._is_watching:
            return "Pause"
        count = self.picking.choice.points
        return f"Watch {plural(count, 'point')}" if count else "Choose points"

    def _sentence(self, points: tuple[WatchedPoint, ...]) -> str:
        return summary_sentence(points, self._shown, self.unread.sentence if self._entered is self._live else "")

    # Inside

    def _looked_at(self, points: tuple[WatchedPoint, ...]) -> LookedAt:
        return LookedAt(self._shown, points, self._window, self._chosen_point(points), self._mark())

    def _mark(self) -> MarkFlag | None:
        flags = self._shown.marks.flags
        chosen = next((one for one in flags if one.row == self._mark_row), None)
        if chosen is None and self._shown.span:
            # Out of a record only what is in sight has been read.
            flags = tuple(one for one in flags if one.touches(self._window.begins_s, self._window.ends_s))
        return chosen or (flags[-1] if flags else None)

    def _chosen_point(self, points: tuple[WatchedPoint, ...]) -> WatchedPoint | None:
        if self._chosen in self.board.points:
            return self.board.points[self._chosen]
        return points[0] if points else None

    def _reading_s(self, points: tuple[WatchedPoint, ...]) -> float:
        return self._cursor_s if self._cursor_s is not None else self._shown.last_s(points) if points else 0.0

    @property
    def watch_choice(self) -> WatchedChoice:
        """Which points F5 watches."""
        return self.picking.choice
