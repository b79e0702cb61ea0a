"""Marks as `record marks` says them, to people and to machines."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.record_reader import EndedInOrder, RecordedSession
from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.marks import Mark
from buswalk.domain.visit.session_events import MarkSource

_SOURCES = {
    MarkSource.USER: "",
    MarkSource.HAND: "by hand on the simulated line",
    MarkSource.CLOCK: "computer clock",
    MarkSource.PROGRAM: "program",
}
NO_END_WORDS = "no end: to the end of its session"
MOMENT_WORDS = "a moment"


@dataclass(frozen=True, slots=True)
class NumberedMark:
    """A mark of a record as it stands now; `number` counts from 1 over all its sessions.

    Attributes:
        wall_time: Of its start; empty where its session cannot be read.
        at_s: Its start, in line time of its session.
        end_s, end_wall_time: None and empty where no end was said: one of a user lasts to the end of its session, any
            other is a moment.
    """

    number: int
    session: int
    wall_time: str
    at_s: float
    source: MarkSource
    words: str
    end_s: float | None
    end_wall_time: str
    is_edited: bool


def numbered_mark(mark: Mark, sessions: tuple[RecordedSession, ...]) -> NumberedMark:
    """Return what is said of a mark."""
    session = next((one for one in sessions if one.session == mark.session), None)
    end_s = mark.end.end_s if isinstance(mark.end, EndsAt) else None
    return NumberedMark(
        mark.number,
        mark.session,
        _wall_time(session, mark.start_s),
        mark.start_s,
        mark.source,
        mark.words,
        end_s,
        "" if end_s is None else _wall_time(session, end_s),
        mark.is_edited,
    )


def _wall_time(session: RecordedSession | None, at_s: float) -> str:
    return "" if session is None else session.wall_time_at(at_s).isoformat("T", "seconds")


def mark_line(one: NumberedMark) -> str:
    """Return one mark with its number."""
    begin = one.wall_time[:19].replace("T", " ") or "time not known"
    same_day = one.end_wall_time[:10] == one.wall_time[:10]
    end = one.end_wall_time[11:19] if same_day else one.end_wall_time[:19].replace("T", " ")
    endless = NO_END_WORDS if one.source is MarkSource.USER else MOMENT_WORDS
    until = endless if one.end_s is None else f"to {end or 'a time not known'}"
    notes = [_SOURCES[one.source], "edited" if one.is_edited else ""]
    said = ", ".join(note for note in notes if note)
    return f"{one.number:>4}  session {one.session}  {begin}  {until}  {one.words}" + (f"  ({said})" if said else "")


def ends_behind_session(mark: Mark, sessions: tuple[RecordedSession, ...]) -> bool:
    """Tell whether a mark reaches beyond the known end of its session: the clock jumped, or somebody mistyped."""
    session = next((one for one in sessions if one.session == mark.session), None)
    if session is None or not isinstance(session.end, EndedInOrder):
        return False
    last_s = mark.end.end_s if isinstance(mark.end, EndsAt) else mark.start_s
    return last_s > session.end.at_s
