"""The list of marks, the chosen one with what lies inside and outside of it, and changes of it. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from buswalk.bus.fault_queries import VisitSummary
from buswalk.bus.fault_sums import Contrast
from buswalk.bus.messages import AtTime, EditMark, MakeMark, TakeBackMark
from buswalk.domain.record_reader import RecordedSession
from buswalk.domain.statistics.two_by_two import TwoByTwo
from buswalk.domain.visit.mark_end import NO_END, EndsAt, MarkEnd
from buswalk.domain.visit.marks import Mark
from buswalk.domain.visit.session_events import MarkSource
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.faults.faults_state import FigureLine, MarkForm, MarksState
from buswalk.ui.pages.faults.quality_words import contrast_lines
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone

OTHER_RECORD = "Marks of another record are shown, not changed: its visit is over."
NO_TIME = "'{words}' is no time of this session: write hours, minutes and seconds, such as 10:06:41"
MOMENT = "nothing: it is a moment. Give it an end to count inside and outside of it"
WRONG_ORDER = "a mark ends behind its start"
_SOURCES = {
    MarkSource.USER: "",
    MarkSource.HAND: "hand",
    MarkSource.CLOCK: "clock",
    MarkSource.PROGRAM: "program",
}
NEW_MARK = -1
NO_MARK = 0


class MarksDesk:
    """Knows the marks of the record that is shown, by the row of their making."""

    def __init__(self, commands: Commands) -> None:
        self._commands = commands
        self._marks: tuple[Mark, ...] = ()
        self._sessions: dict[int, RecordedSession] = {}
        self._chosen = NO_MARK
        self._told = ""
        self._contrasts: dict[Mark, Contrast] = {}

    def forget(self) -> None:
        """Another record is shown."""
        self._marks, self._sessions = (), {}
        self._chosen, self._told = NO_MARK, ""
        self._contrasts.clear()

    def take_summary(self, summary: VisitSummary) -> None:
        """Take what a record says of its marks."""
        self._marks = summary.marks
        self._sessions = {one.session: one for one in summary.facts.sessions}
        if self._chosen > 0 and self.chosen is None:
            self._chosen = NO_MARK

    def take_contrast(self, mark: Mark, contrast: Contrast) -> None:
        """Take the counts inside and outside of a mark."""
        self._contrasts[mark] = contrast

    def recount(self) -> None:
        """What was counted does not hold any more."""
        self._contrasts.clear()

    @property
    def chosen(self) -> Mark | None:
        """The chosen mark."""
        return next((one for one in self._marks if one.row == self._chosen), None)

    @property
    def to_count(self) -> Mark | None:
        """The mark whose counts are wanted next: the chosen one first, then those in the list."""
        wanted = [self.chosen, *reversed(self._marks)]
        return next(
            (one for one in wanted if one is not None and not one.is_moment and one not in self._contrasts), None
        )

    def choose(self, index: int) -> None:
        """Choose a row."""
        if 0 <= index < len(self._marks):
            self._chosen, self._told = self._marks[index].row, ""

    def new(self) -> None:
        """Begin a mark back in time."""
        self._chosen, self._told = NEW_MARK, ""

    # Changes

    def keep(self, words: str, start: str, end: str) -> None:
        """Keep the form: a change of the chosen mark, or a new one of the last session."""
        mark, session = self.chosen, self._session_of_form()
        if session is None:
            self._told = "nothing is recorded yet"
            return
        start_s, end_s = _time_in(session, start), _time_in(session, end) if end.strip() else None
        if start_s is None or (end.strip() and end_s is None):
            self._told = NO_TIME.format(words=start if start_s is None else end)
            return
        if end_s is not None and end_s < start_s:
            self._told = WRONG_ORDER
            return
        stop: MarkEnd = NO_END if end_s is None else EndsAt(end_s)
        named = words.strip() or "mark"
        if mark is None:
            self._commands.send(MakeMark(named, AtTime(start_s), stop))
            self._told = f"'{named}' is kept"
            self._chosen = NO_MARK
        else:
            self._commands.send(EditMark(mark.row, named, start_s, stop))
            self._told = f"'{named}' is changed; what it was before stays in the record"

    def end_now(self, now_s: float) -> None:
        """Let the chosen mark end at this moment."""
        mark = self.chosen
        if mark is not None:
            self._commands.send(EditMark(mark.row, mark.words, mark.start_s, EndsAt(max(now_s, mark.start_s))))
            self._told = f"'{mark.words}' ends now"

    def take_back(self) -> None:
        """Take the chosen mark back."""
        mark = self.chosen
        if mark is not None:
            self._commands.send(TakeBackMark(mark.row))
            self._told = f"'{mark.words}' is taken back"
            self._chosen = NO_MARK

    def _session_of_form(self) -> RecordedSession | None:
        mark = self.chosen
        if mark is not None:
            return self._sessions.get(mark.session)
        return self._sessions[max(self._sessions)] if self._sessions else None

    # What is shown

    def state(self, *, is_live: bool, now_s: float) -> MarksState:
        """Return the pane."""
        mark = self.chosen
        contrast = self._contrasts.get(mark) if mark is not None else None
        return MarksState(
            rows=tuple(self._row(one) for one in self._marks),
            chosen=next((at for at, one in enumerate(self._marks) if one.row == self._chosen), -1),
            contrast=contrast_lines(contrast) if contrast is not None else _not_counted(mark),
            form=self._form(mark, now_s),
            refusal="" if is_live else OTHER_RECORD,
            told=self._told,
        )

    def _row(self, mark: Mark) -> Row:
        contrast = self._contrasts.get(mark)
        table = contrast.table if contrast is not None else None
        counts = "…" if table is None else f"{table.not_clean_inside} | {table.not_clean_outside}"
        if mark.is_moment:
            counts = "a moment"
        source = _SOURCES[mark.source]
        return (
            Cell(self._clock(mark.session, mark.start_s), Tone.INK2),
            Cell(mark.words + (f" ({source})" if source else ""), Tone.INK, Weight.BOLD),
            Cell(counts, Tone.INK, spoken="" if table is None else _spoken(table)),
        )

    def _form(self, mark: Mark | None, now_s: float) -> MarkForm | None:
        if mark is not None:
            end = self._clock(mark.session, mark.end.end_s) if isinstance(mark.end, EndsAt) else ""
            return MarkForm(mark.words, self._clock(mark.session, mark.start_s), end)
        if self._chosen == NEW_MARK and self._sessions:
            return MarkForm("", self._clock(max(self._sessions), now_s), "")
        return None

    def _clock(self, session: int, at_s: float) -> str:
        known = self._sessions.get(session)
        return f"{known.wall_time_at(at_s):%H:%M:%S}" if known is not None else ""


def _spoken(table: TwoByTwo) -> str:
    inside = f"{table.not_clean_inside} of {table.inside} not clean inside"
    return f"{inside}, {table.not_clean_outside} of {table.outside} outside"


def _not_counted(mark: Mark | None) -> tuple[FigureLine, ...]:
    if mark is None:
        return ()
    return (FigureLine("Inside", MOMENT if mark.is_moment else "is being counted"),)


def _time_in(session: RecordedSession, words: str) -> float | None:
    """Return the line time of a time of day: the first one in the session; None where there is none."""
    parts: Sequence[str] = words.strip().split(":")
    if len(parts) not in (2, 3) or not all(part.strip().isdigit() for part in parts):
        return None
    hours, minutes, seconds = (*(int(part) for part in parts), 0)[:3]
    if hours > 23 or minutes > 59 or seconds > 59:
        return None
    began: datetime = session.wall_time_at(0.0)
    moment = began.replace(hour=hours, minute=minutes, second=seconds, microsecond=0)
    if moment < began.replace(microsecond=0):
        moment += timedelta(days=1)
    return max(0.0, (moment - began).total_seconds())
