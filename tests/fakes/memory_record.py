"""A record in memory as far as Trend asks: two sessions of the watched greenhouse."""

from __future__ import annotations

import struct
from dataclasses import replace

from buswalk.domain.record_reader import EndedInOrder, RecordedEvent, RecordedSession, RecordFacts
from buswalk.domain.record_samples import QUALITIES, SampleColumns, SamplePage
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.visit.session_events import MarkMade, SessionStarted
from tests.fakes.watched_greenhouse import SECONDS, watched_items


class MemoryRecord:
    """Answers what the queries of Trend ask a reader."""

    def __init__(self) -> None:
        self._events = [item.event for item in watched_items()]
        started = next(one for one in self._events if isinstance(one, SessionStarted))
        later = replace(started, wall_time="2026-04-01T08:00:00+02:00")
        self._sessions = tuple(
            RecordedSession(at, one, EndedInOrder(SECONDS), 0) for at, one in enumerate((started, later), 1)
        )

    def facts(self) -> RecordFacts:
        """Two sessions on a simulated line."""
        return RecordFacts("2026-03-31-ttyUSB0", "old", "id", 1, True, 0, self._sessions)  # noqa: FBT003

    def points_watched(self) -> tuple[RecordedEvent, ...]:
        """The same in both."""
        watched = [one for one in self._events if isinstance(one, PointsWatched)]
        return tuple(RecordedEvent(1, session, one, one.at_s) for session in (1, 2) for one in watched)

    def marks(self) -> tuple[RecordedEvent, ...]:
        """Those of the second session."""
        made = [one for one in self._events if isinstance(one, MarkMade)]
        return tuple(RecordedEvent(row, 2, one, one.at_s) for row, one in enumerate(made, 1))

    def samples(self, page: SamplePage) -> SampleColumns:
        """One point over time."""
        taken = [
            (one.at_s, sample.number, QUALITIES.index(sample.quality))
            for one in self._events
            if isinstance(one, SamplesTaken)
            and one.server_address == page.server_address
            and page.after_s < one.at_s <= page.to_s
            for sample in one.samples
            if sample.point == page.point
        ][: page.limit]
        return SampleColumns(
            b"".join(struct.pack("<q", round(at_s * 1e9)) for at_s, _, _ in taken),
            b"".join(struct.pack("<d", number) for _, number, _ in taken),
            bytes(code for _, _, code in taken),
        )
