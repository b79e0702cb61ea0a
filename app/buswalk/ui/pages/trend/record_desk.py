"""Which record and session the page shows in place of the running one, and how its values come. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from buswalk.bus.trend_queries import ReadWatchedVisit, WatchedSession, WatchedVisit
from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.pages.trend.mark_list import MarkList, flags_of
from buswalk.ui.pages.trend.shown_visit import ShownVisit
from buswalk.ui.pages.trend.span_reading import SpanReading
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedBoard
from buswalk.ui.pages.trend.ways import TrendWays
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

BACK = "record"
"""Name of the button that shows the running session again."""
BACK_WORDS = "Back to this visit"
THIS_SESSION = "this session"
OWN_RECORD = "That is the record of this visit: it is shown. Earlier sessions of it stand in the list beside Points."
NO_VALUES = "no values of watched points are in it"


class RecordDesk:
    """Opens records beside the running session; their sessions are chosen one at a time, each has its own clock."""

    def __init__(self, ways: TrendWays) -> None:
        self._ways = ways
        self._live_path = ""
        self._path = ""
        self._visit: WatchedVisit | None = None
        self._chosen = 0
        self._reading: SpanReading | None = None
        self._detail: tuple[ShownVisit, SpanReading] | None = None
        self._problem = ""
        self.shown: ShownVisit | None = None

    # Which record

    def recorded_at(self, path: str) -> None:
        """Take where the running session is recorded; empty for nowhere."""
        if path != self._live_path:
            self._live_path = path
            self._detail = None
            if self.shown is None:
                self._visit, self._path = None, path
                if path:
                    self._look()

    def choose(self) -> str:
        """Let the user choose a record file, and show its last session with values; one sentence where it is not."""
        path = self._ways.choose_record()
        if path:
            self.close()
            if path == self._live_path:
                return OWN_RECORD
            self._path, self._visit = path, None
            self._look()
        return ""

    def close(self) -> None:
        """Show the running session again; sessions of its record can be chosen then."""
        is_other = self._path != self._live_path
        self.shown = self._reading = None
        self._problem, self._chosen = "", 0
        self._path = self._live_path
        if is_other:
            self._visit = None
            if self._path:
                self._look()

    @property
    def is_open(self) -> bool:
        """Whether something else than the running session is shown, or is being opened."""
        return self.shown is not None or self._path != self._live_path

    def _look(self) -> None:
        path = self._path

        def take(visit: object) -> None:
            if path == self._path and isinstance(visit, WatchedVisit):
                self._take(visit)

        def refused(sentence: str) -> None:
            if path == self._path and path != self._live_path:
                self._problem = sentence

        self._ways.ask(path, ReadWatchedVisit(), take, refused)

    def _take(self, visit: WatchedVisit) -> None:
        self._visit = visit
        if self._path == self._live_path:
            return
        if visit.sessions:
            self._show(visit.sessions[-1])
        else:
            self._problem = NO_VALUES

    # Which session

    @property
    def _sessions(self) -> tuple[WatchedSession, ...]:
        """Those to choose from: not the running one, whose values come by themselves."""
        if self._visit is None:
            return ()
        is_running = self._path == self._live_path
        return tuple(one for one in self._visit.sessions if not is_running or one.session < self._visit.last_session)

    @property
    def choices(self) -> tuple[tuple[str, ...], int]:
        """Sessions in words, and which one is shown; nothing where there is nothing to choose."""
        words = [_session_words(one) for one in self._sessions]
        if self._path == self._live_path:
            return ((THIS_SESSION, *words), self._chosen) if words else ((), 0)
        return (tuple(words), self._chosen) if len(words) > 1 else ((), 0)

    def choose_session(self, at: int) -> None:
        """Show another session of the record."""
        is_running = self._path == self._live_path
        sessions = self._sessions
        if is_running and at == 0:
            self.close()
        elif 0 <= (place := at - 1 if is_running else at) < len(sessions):
            self._show(sessions[place])

    def _show(self, session: WatchedSession) -> None:
        assert self._visit is not None
        board = WatchedBoard()
        for event in session.watched:
            board.take(event)
        marks = MarkList()
        marks.flags = flags_of(one for one in self._visit.marks if one.session == session.session)
        span = (session.first_s, session.last_s)
        name = self._visit.name
        self.shown = ShownVisit(board, marks, session.wall_time, self._visit.is_simulated, name, span)
        self._reading = SpanReading(self._ways.ask, self._path, session.session, board)
        self._chosen = self._sessions.index(session) + (self._path == self._live_path)

    # Its values

    def read(self, sight: tuple[float, float], keys: Sequence[PointKey]) -> None:
        """Read what is missing of a span in sight."""
        if self.shown is not None and self._reading is not None:
            first_s, last_s = self.shown.span
            # Half a second: the record was asked to that only.
            self._reading.want(sight, (first_s, last_s + 1.0), [one for one in keys if one.device])

    def closer(self, live: ShownVisit, sight: tuple[float, float], keys: Sequence[PointKey]) -> ShownVisit:
        """Return the running session as its record has it, where a held span in sight is coarse by now; or itself."""
        points = [live.board.points[key] for key in keys if key.device and key in live.board.points]
        is_coarse = any(one.series.coarse_to_s > sight[0] for one in points)
        if not is_coarse or not self._live_path or self._visit is None or sight[1] > live.last_s(tuple(points)):
            return live
        if self._detail is None:
            visit = ShownVisit(live.board.described(), live.marks, live.wall_time, live.is_simulated, live.record_name)
            session = self._visit.last_session
            self._detail = (visit, SpanReading(self._ways.ask, self._live_path, session, visit.board))
        visit, reading = self._detail
        for point in points:
            visit.board.describe(point)
        first_s = live.first_s(tuple(points))
        visit.span = (first_s, live.last_s(tuple(points)))
        reading.want(sight, (first_s, visit.span[1]), [one.key for one in points])
        is_there = any(len(visit.board.points[one.key].series) for one in points)
        return visit if is_there else live

    @property
    def told(self) -> str:
        """How far reading is; empty when it is done."""
        if self.shown is None or self._reading is None or self._reading.share_read >= 1.0:
            return ""
        return f"The record is being read, {100 * self._reading.share_read:.0f} %."

    def band(self) -> BandState | None:
        """Say which record is shown; none for the running session."""
        if not self.is_open:
            return None
        action = (BandAction(BACK, BACK_WORDS, "F5"),)
        problem = self._problem or (self._reading.problem if self._reading is not None else "")
        if problem:
            return BandState(Tone.FAULT, "This record cannot be shown", f"{problem[:1].upper()}{problem[1:]}.", action)
        if self.shown is None or self._visit is None:
            return BandState(Tone.DOUBT, "Another record is opened", "It is being read.", action)
        kind = "Recorded on a simulated line: no evidence. " if self._visit.is_simulated else ""
        meanwhile = "This visit goes on being recorded." if self._live_path else ""
        count = len(self._sessions)
        of = f", one of {plural(count, 'session')}" if count > 1 else ""
        session = self._sessions[self._chosen - (self._path == self._live_path)]
        is_own = self._path == self._live_path
        what = "an earlier session of this visit" if is_own else "not this visit"
        headline = f"Shown: {self._visit.name}, {_session_words(session)}{of}, {what}"
        return BandState(Tone.DOUBT, headline, f"{kind}{meanwhile}".strip(), action)


def _session_words(session: WatchedSession) -> str:
    began = datetime.fromisoformat(session.wall_time)
    first, last = (began + timedelta(seconds=at_s) for at_s in (session.first_s, session.last_s))
    end = f"{last:%H:%M}" if first.date() == last.date() else f"{last:%d %b %H:%M}"
    return f"{first:%d %b %Y %H:%M} to {end}"
