"""The marks of a record as they stand now, folded from all that was said of them; rows of a record stay as they are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import inf

from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.mark_end import NO_END, EndsAt, MarkEnd
from buswalk.domain.visit.session_events import (
    OWN_SESSION,
    MarkEdited,
    MarkEnded,
    MarkMade,
    MarkSource,
    MarkTakenBack,
)


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark as it was said last.

    Attributes:
        number: Counts from 1 over all sessions in the order of making; one taken back keeps its number.
        row: Of its `MarkMade`: by this it is ended, edited and taken back.
        session: That it lies in.
        start_s: Line time of that session.
        is_edited: Whether anything but its end was said anew.
    """

    number: int
    row: int
    session: int
    words: str
    source: MarkSource
    start_s: float
    end: MarkEnd = NO_END
    is_edited: bool = False

    @property
    def is_moment(self) -> bool:
        """Whether nothing lies inside of it: what a hand or a clock did lasts no longer than somebody has said."""
        return self.source is not MarkSource.USER and not isinstance(self.end, EndsAt)


def mark_span(mark: Mark) -> MarkedSpan:
    """Return where a mark lies; one that people set without an end lasts to the end of its session."""
    end_s = mark.end.end_s if isinstance(mark.end, EndsAt) else mark.start_s if mark.is_moment else inf
    return MarkedSpan(mark.session, mark.start_s, end_s)


def current_marks(said: Iterable[RecordedEvent]) -> tuple[Mark, ...]:
    """Return the marks that stand, by number, from everything said of marks in the order of keeping.

    What names a mark that is not there, or ends one before it begins, changes nothing: the rest stands.
    """
    marks: dict[int, Mark] = {}
    made = 0
    for one in said:
        if isinstance(one.event, MarkMade):
            made += 1
            marks[one.row] = _made(made, one, one.event)
        else:
            _change(marks, one.event)
    return tuple(marks.values())


def _made(number: int, recorded: RecordedEvent, event: MarkMade) -> Mark:
    session = recorded.session if event.session == OWN_SESSION else event.session
    end = event.end if is_in_order(event.at_s, event.end) else NO_END
    return Mark(number, recorded.row, session, event.words, event.source, event.at_s, end)


def _change(marks: dict[int, Mark], event: object) -> None:
    match event:
        case MarkEnded(mark, end_s) if mark in marks and end_s >= marks[mark].start_s:
            marks[mark] = replace(marks[mark], end=EndsAt(end_s))
        case MarkEdited(mark, words, start_s, end) if mark in marks and is_in_order(start_s, end):
            marks[mark] = replace(marks[mark], words=words, start_s=start_s, end=end, is_edited=True)
        case MarkTakenBack(mark):
            marks.pop(mark, None)
        case _:
            pass


def is_in_order(start_s: float, end: MarkEnd) -> bool:
    """Tell whether a mark of this start can have this end."""
    return start_s >= 0.0 and (not isinstance(end, EndsAt) or end.end_s >= start_s)
