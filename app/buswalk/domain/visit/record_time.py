"""Times as people write them, found in the sessions of a record.

`2026-03-05 08:14:10` is a time of the wall, as the computer's clock had it; `08:14:10` is of the day on which the
record begins; `2026-03-05` is the whole day; `95.5s` is line time of a session.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import inf
from typing import TypeAlias

from buswalk.domain.record_reader import EndedInOrder, RecordedSession
from buswalk.domain.statistics.marked_spans import MarkedSpan

FORMS = (
    "2026-03-05 08:14:10, a day such as 2026-03-05, 08:14:10 or 08:14 on the day on which the record begins, or 95.5s "
    "of line time"
)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_WALL = re.compile(r"(?:(\d{4}-\d{2}-\d{2})[ T])?(\d{1,2}:\d{2}(?::\d{2}(?:\.\d{1,6})?)?)")
_LINE = re.compile(r"(\d{1,9}(?:\.\d{1,9})?)\s*s")


@dataclass(frozen=True, slots=True)
class WallTime:
    """A time of the wall, in the zone of the record."""

    at: datetime


@dataclass(frozen=True, slots=True)
class LineTime:
    """Line time of a session."""

    at_s: float


SaidTime: TypeAlias = WallTime | LineTime


@dataclass(frozen=True, slots=True)
class PlacedTime:
    """A moment of one session."""

    session: int
    at_s: float


def said_time(text: str, sessions: Sequence[RecordedSession]) -> SaidTime:
    """Return what a text means.

    Raises:
        ValueError: It is no time, or the record has no session to count from.
    """
    if not sessions:
        raise ValueError("no session of this record can be read, so that no time can be found in it")
    line = _LINE.fullmatch(text.strip())
    if line is not None:
        return LineTime(float(line.group(1)))
    day = _DAY.fullmatch(text.strip())
    wall = _WALL.fullmatch(f"{text.strip()} 00:00" if day else text.strip())
    if wall is None:
        raise ValueError(f"'{text}' is no time: write {FORMS}")
    began = sessions[0].wall_time_at(0.0)
    clock = wall.group(2).zfill(5) if wall.group(2).count(":") == 1 else wall.group(2).zfill(8)
    try:
        at = datetime.fromisoformat(f"{wall.group(1) or began.date().isoformat()}T{clock}")
    except ValueError as reason:
        raise ValueError(f"'{text}' is no time: write {FORMS}") from reason
    return WallTime(at.replace(tzinfo=began.tzinfo))


def said_between(from_text: str, to_text: str, sessions: Sequence[RecordedSession]) -> tuple[MarkedSpan, ...]:
    """Return the parts of sessions between two texts; an empty one leaves that side open.

    A day as an end is the end of that day. From 22:00 to 02:00, without a day, lasts over midnight.

    Raises:
        ValueError: One is no time, they are the wrong way round, or nothing was recorded between them.
    """
    from_time = said_time(from_text, sessions) if from_text.strip() else None
    to_time = said_time(to_text, sessions) if to_text.strip() else None
    if isinstance(to_time, WallTime) and _lasts_a_day_longer(from_time, to_time, (from_text, to_text)):
        to_time = WallTime(to_time.at + timedelta(days=1))
    if type(from_time) is type(to_time) and _seconds(to_time) < _seconds(from_time):
        raise ValueError(f"'{to_text}' lies before '{from_text}'")
    spans = between(from_time, to_time, sessions)
    if not spans:
        raise ValueError("no session of this record lies between these times: 'record show' lists them")
    return spans


def _lasts_a_day_longer(from_time: SaidTime | None, to_time: WallTime, texts: tuple[str, str]) -> bool:
    if _DAY.fullmatch(texts[1].strip()):
        return True
    are_times_of_day = not any("-" in one for one in texts)
    return are_times_of_day and isinstance(from_time, WallTime) and to_time.at < from_time.at


def _seconds(said: SaidTime | None) -> float:
    match said:
        case WallTime(at):
            return at.timestamp()
        case LineTime(at_s):
            return at_s
        case _:
            return 0.0


def placed(said: SaidTime, sessions: Iterable[RecordedSession]) -> PlacedTime:
    """Return where it lies, in the last of these sessions that holds it.

    Raises:
        ValueError: It lies in none of them.
    """
    for one in sorted(sessions, key=lambda session: session.session, reverse=True):
        at_s = said.at_s if isinstance(said, LineTime) else (said.at - one.wall_time_at(0.0)).total_seconds()
        if 0.0 <= at_s <= seconds_of(one):
            return PlacedTime(one.session, at_s)
    raise ValueError("no session of this record holds this time: 'record show' lists them")


def seconds_of(session: RecordedSession) -> float:
    """Return how long it lasts; for ever where no end is recorded."""
    return session.end.at_s if isinstance(session.end, EndedInOrder) else inf


def between(
    from_time: SaidTime | None, to_time: SaidTime | None, sessions: Iterable[RecordedSession]
) -> tuple[MarkedSpan, ...]:
    """Return the parts of sessions between two times; without one it is from the beginning, or to the end."""
    found = []
    for one in sessions:
        from_s = 0.0 if from_time is None else max(0.0, _in_session(from_time, one))
        to_s = seconds_of(one) if to_time is None else min(seconds_of(one), _in_session(to_time, one))
        if from_s <= to_s:
            found.append(MarkedSpan(one.session, from_s, to_s))
    return tuple(found)


def _in_session(said: SaidTime, session: RecordedSession) -> float:
    if isinstance(said, LineTime):
        return said.at_s
    return (said.at - session.wall_time_at(0.0)) / timedelta(seconds=1)
