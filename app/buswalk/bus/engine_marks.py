"""Commands on marks as the events that they come to; what cannot be is refused in one sentence."""

from __future__ import annotations

from buswalk.bus.cannot_do import CannotDo
from buswalk.bus.messages import AtTime, EditMark, EndMark, MakeMark, MarkCommand, Moment, TakeBackMark
from buswalk.domain.visit.marks import is_in_order
from buswalk.domain.visit.recorder import Recorder
from buswalk.domain.visit.session_events import MarkEdited, MarkEnded, MarkMade, MarkSource, MarkTakenBack

NO_SUCH_MARK = "there is no such mark in this record; one that was made while nothing was recorded cannot be changed"
WRONG_ORDER = "a mark ends behind its start: set the end later, or the start earlier"


def mark_event(command: MarkCommand, recorder: Recorder, now_s: float) -> object:
    """Return what is to be kept.

    Raises:
        CannotDo: The record holds no such mark, or it would end before it begins.
        RecordProblem: The record cannot be read.
    """
    if not isinstance(command, MakeMark) and not recorder.holds_mark(command.mark):
        raise CannotDo(NO_SUCH_MARK)
    match command:
        case MakeMark(words, start, end):
            start_s = _passed_s(start, now_s)
            if not is_in_order(start_s, end):
                raise CannotDo(WRONG_ORDER)
            return MarkMade(words, MarkSource.USER, start_s, end)
        case EndMark(mark, moment):
            return MarkEnded(mark, _passed_s(moment, now_s), now_s)
        case EditMark(mark, words, start_s, end):
            if not is_in_order(start_s, end):
                raise CannotDo(WRONG_ORDER)
            return MarkEdited(mark, words, start_s, end, now_s)
        case TakeBackMark(mark):
            return MarkTakenBack(mark, now_s)


def _passed_s(moment: Moment, now_s: float) -> float:
    """The window reckons the time of the line on between batches, and may be a little ahead."""
    return min(moment.at_s, now_s) if isinstance(moment, AtTime) else now_s
