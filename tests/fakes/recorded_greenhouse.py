"""The watched greenhouse in a record: its stream kept session by session; and many samples, quickly made."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np

from buswalk.bus.messages import Kept
from buswalk.domain.registers.samples import PointsWatched, Quality, Sample, SamplesTaken
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.watched_greenhouse import AIR, HUMIDITY, USUAL, WALL_TIME


def record_sessions(path: Path, *sessions: Iterable[Kept], is_simulated: bool = False) -> None:
    """Keep streams as sessions of one record, one after the other."""
    for items in sessions:
        with closing(open_visit_record(path, is_simulated=is_simulated)) as recorder:
            for item in items:
                recorder.keep(item.event, item.at_s)


def record_many(path: Path, numbers: np.ndarray, period_s: float = 1.0) -> None:
    """Keep two points of 21 with these values: rows are made by SQL, as keeping a million one by one takes long.

    The second point has the same values, negated.
    """
    with closing(open_visit_record(path, is_simulated=True)) as recorder:
        recorder.keep(SessionStarted(WALL_TIME, 1.0, is_simulated=True, program="test"), 0.0)
        recorder.keep(PointsWatched(21, USUAL, "room-air", (AIR, HUMIDITY), 0.0), 0.0)
        first = tuple(Sample(one.name, (0,), 0.0, Quality.GOOD) for one in (AIR, HUMIDITY))
        recorder.keep(SamplesTaken(1, 21, USUAL, first, 0.001, 0.0), 0.001)
    with closing(sqlite3.connect(path)) as connection:
        names = [row[1] for row in connection.execute("PRAGMA table_info(sample)")]
        example = dict(zip(names, connection.execute("SELECT * FROM sample").fetchone(), strict=True))
        pairs = np.column_stack((numbers, -numbers)).astype("<f8")
        rows = (
            tuple(
                {
                    **example,
                    "row": 100 + at,
                    "at_ns": round((1 + at) * period_s * 1e9),
                    "numbers": pair.tobytes(),
                }.values()
            )
            for at, pair in enumerate(pairs)
        )
        connection.executemany(f"INSERT INTO sample VALUES ({','.join('?' * len(names))})", rows)
        connection.commit()


def later(items: Iterable[Kept], wall_time: str) -> Iterable[Kept]:
    """Return a stream as of another day."""
    for item in items:
        event = item.event
        yield replace(item, event=replace(event, wall_time=wall_time) if isinstance(event, SessionStarted) else event)
