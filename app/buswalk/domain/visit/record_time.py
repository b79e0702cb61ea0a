"""Times as people write them, found in the sessions of a record.

`2026-03-05 08:14:10` is a time of the wall, as the computer's clock had it; `08:14:10` is of the day on which the
record begins; `95.5s` is line time of a session.
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

FORMS = "2026-03-05 08:14:10, 08:14:10 or 08:14 on the day on which the record begins, or 95.5s of line time"
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
    wall = _WALL.fullmatch(text.strip())
    if wall is None:
        raise ValueError(f"'{text}' is no time: write {FORMS}")
    began = sessions[0].wall_time_at(0.0)
    clock = wall.group(2).zfill(5) if wall.group(2).count(":") == 1 else wall.group(2).zfill(8)
    try:
        at = datetime.fromisoformat(f"{wall.group(1) or began.date().isoformat()}T{clock}")
    except ValueError as reason:
        raise ValueError(f"'{text}' is no time: write {FORMS}") from reason
    return WallTime(at.replace(tzinfo=began.tzinfo))


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
