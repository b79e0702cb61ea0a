"""The marks of this session out of the stream, as the plots and the list show them. Plain Python."""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.marks import Mark, current_marks
from buswalk.domain.visit.session_events import OWN_SESSION, MarkEdited, MarkEnded, MarkMade, MarkTakenBack
from buswalk.ui.pages.trend.trend_state import MarkFlag


class MarkList:
    """Folds what is said of marks."""

    def __init__(self) -> None:
        self._said: list[RecordedEvent] = []
        self._unrecorded = 0
        self.flags: tuple[MarkFlag, ...] = ()

    def forget(self) -> None:
        """A new session begins."""
        self._said.clear()
        self.flags = ()

    def take(self, row: int, event: object, at_s: float) -> None:
        """Take an event; row 0 says that nothing is recorded."""
        if not isinstance(event, MarkMade | MarkEdited | MarkEnded | MarkTakenBack):
            return
        if not row:
            self._unrecorded -= 1
            row = self._unrecorded
        if any(one.row == row for one in self._said):
            return
        self._said.append(RecordedEvent(row, OWN_SESSION, event, at_s))
        marks = [one for one in current_marks(self._said) if one.session == OWN_SESSION]
        self.flags = flags_of(marks)

    def next_after(self, at_s: float) -> float:
        """Return the moment of the next mark; infinite if there is none."""
        return min((one.at_s for one in self.flags if one.at_s > at_s), default=float("inf"))


def flags_of(marks: Iterable[Mark]) -> tuple[MarkFlag, ...]:
    """Return marks of one session in order of time."""
    return tuple(sorted((_flag(one) for one in marks), key=lambda flag: flag.at_s))


def _flag(mark: Mark) -> MarkFlag:
    ends_s = mark.end.end_s if isinstance(mark.end, EndsAt) else None
    return MarkFlag(mark.number, mark.row, mark.words, mark.start_s, ends_s)
