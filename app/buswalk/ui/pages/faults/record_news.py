"""Whether the record that is being written has something new to be read, and how often that is looked at."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line_events import Credit, ExchangeDone, LateReply
from buswalk.domain.visit.session_events import MarkEdited, MarkEnded, MarkMade, MarkTakenBack, SessionStarted

TICKS_A_REFRESH = 10
"""A live record is read anew at most once a second."""
TICKS_A_RECOUNT = 100
"""What may change backwards, by late replies and new marks, is counted anew every ten seconds."""


@dataclass(frozen=True, slots=True)
class Due:
    """What is to be done now.

    Attributes:
        recounts: What was counted under a filter may have changed: a late reply was credited.
        recounts_marks: So may what was counted around marks.
    """

    recounts: bool
    recounts_marks: bool


class RecordNews:
    """Takes events and ticks."""

    def __init__(self) -> None:
        self._ticks = 0
        self._has_news = self._late_came = self._marks_changed = False

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case ExchangeDone() | SessionStarted():
                self._has_news = True
            case LateReply(credit=Credit.CREDITED):
                self._has_news = self._late_came = True
            case MarkMade() | MarkEnded() | MarkEdited() | MarkTakenBack():
                self._has_news = self._marks_changed = True
            case _:
                pass

    def tick(self) -> None:
        """A tenth of a second has passed."""
        self._ticks += 1

    def due(self) -> Due | None:
        """Return what is to be read now, once; None for nothing yet. Marks are shown at once."""
        is_time = self._ticks % TICKS_A_REFRESH == 0
        if not (self._marks_changed or (is_time and self._has_news)):
            return None
        is_recount = self._marks_changed or self._ticks % TICKS_A_RECOUNT == 0
        due = Due(is_recount and self._late_came, is_recount)
        if is_recount:
            self._late_came = False
        self._has_news = self._marks_changed = False
        return due
