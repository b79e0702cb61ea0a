"""What the page Trend asks of a record: what was watched in it, and values as dense as a picture needs them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from buswalk.domain.record_reader import RecordReader
from buswalk.domain.record_samples import SamplePage
from buswalk.domain.registers.samples import PointsWatched
from buswalk.domain.trend.gap_list import GapList
from buswalk.domain.trend.samples import Samples, samples_of
from buswalk.domain.trend.thinning import thinned
from buswalk.domain.visit.marks import Mark, current_marks

MOST_AT_ONCE = 150_000
"""Samples of all points that one answer reads: some tenths of a second."""
LEAST_OF_A_POINT = 500
NEAREST_S = 0.5


@dataclass(frozen=True, slots=True)
class WatchedSession:
    """A session in which points were watched.

    Attributes:
        wall_time: At its line time 0.
        watched: Descriptions of points, in the order of keeping.
        first_s, last_s: Of its samples, to half a second.
    """

    session: int
    wall_time: str
    watched: tuple[PointsWatched, ...]
    first_s: float
    last_s: float


@dataclass(frozen=True, slots=True)
class WatchedVisit:
    """A record as far as points were watched.

    Attributes:
        sessions: Those with samples, in order.
        last_session: Of all sessions, with samples or without: the running one, where the record is being written.
    """

    name: str
    is_simulated: bool
    last_session: int
    sessions: tuple[WatchedSession, ...]
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class ReadWatchedVisit:
    """What was watched in a record, and when."""

    def answer(self, reader: RecordReader) -> WatchedVisit:
        """Ask the reader."""
        facts = reader.facts()
        told = reader.points_watched()
        sessions = []
        for one in facts.sessions:
            events = [kept.event for kept in told if kept.session == one.session]
            watched = tuple(event for event in events if isinstance(event, PointsWatched))
            extent = _extent(reader, one.session, watched)
            if extent is not None:
                sessions.append(WatchedSession(one.session, one.started.wall_time, watched, *extent))
        last = facts.sessions[-1].session if facts.sessions else 0
        return WatchedVisit(facts.name, facts.is_simulated, last, tuple(sessions), current_marks(reader.marks()))


def _extent(reader: RecordReader, session: int, watched: tuple[PointsWatched, ...]) -> tuple[float, float] | None:
    """Return first and last time of a session's samples; None if it has none."""
    keys = dict.fromkeys((one.server_address, point.name) for one in watched for point in one.points)
    firsts = [_next_s(reader, session, key, -math.inf) for key in keys]
    if not any(math.isfinite(one) for one in firsts):
        return None
    last_s = min(firsts)
    for key in keys:
        last_s = _last_s(reader, session, key, last_s)
    return min(firsts), last_s


def _last_s(reader: RecordReader, session: int, key: tuple[str | int, ...], known_s: float) -> float:
    """Return the time of a point's last sample, to half a second; `known_s` if it has none behind that.

    Where a session was cut short its end is not recorded: far steps find it, and halving them.
    """
    low_s, reach_s = known_s, 1.0
    while math.isfinite(found_s := _next_s(reader, session, key, low_s + reach_s)):
        low_s, reach_s = found_s, 2.0 * reach_s
    high_s = low_s + reach_s
    while high_s - low_s > NEAREST_S:
        middle_s = (low_s + high_s) / 2.0
        found_s = _next_s(reader, session, key, middle_s)
        low_s, high_s = (found_s, high_s) if math.isfinite(found_s) else (low_s, middle_s)
    return low_s


def _next_s(reader: RecordReader, session: int, key: tuple[str | int, ...], after_s: float) -> float:
    """Return the time of the first sample later than a time; infinite if there is none."""
    address, point = key
    assert isinstance(address, int)
    found = samples_of(reader.samples(SamplePage(address, str(point), session, after_s, limit=1)))
    return float(found.times_s[0]) if len(found) else math.inf


@dataclass(frozen=True, slots=True, eq=False)
class PointSoFar:
    """A point that is read part by part; its gaps go along, so that none is lost between two parts."""

    server_address: int
    point: str
    gaps: GapList


@dataclass(frozen=True, slots=True, eq=False)
class PointPart:
    """What was read of a point.

    Attributes:
        gaps: Of all parts so far.
        left_out: So many samples do not change the picture.
    """

    samples: Samples
    gaps: GapList
    left_out: int


@dataclass(frozen=True, slots=True, eq=False)
class SpanPart:
    """One answer: the points in the order asked, as far as `read_to_s`."""

    points: tuple[PointPart, ...]
    read_to_s: float


@dataclass(frozen=True, slots=True, eq=False)
class ReadSpanPart:
    """The next samples of some points within a span of time, no denser than the picture: ask on with `read_to_s`.

    Attributes:
        step_s: So much time is one step of `thinned`.
    """

    session: int
    points: tuple[PointSoFar, ...]
    after_s: float
    to_s: float
    step_s: float

    def answer(self, reader: RecordReader) -> SpanPart:
        """Ask the reader. The first point says how far this answer goes."""
        most = max(MOST_AT_ONCE // max(len(self.points), 1), LEAST_OF_A_POINT)
        read_to_s, parts = self.to_s, []
        for at, one in enumerate(self.points):
            samples = self._read(reader, one, read_to_s, most)
            if at == 0 and len(samples) == most:
                read_to_s = float(samples.times_s[-1])
            one.gaps.extend(samples)
            kept = thinned(samples, self.step_s)
            parts.append(PointPart(kept, one.gaps, len(samples) - len(kept)))
        return SpanPart(tuple(parts), read_to_s)

    def _read(self, reader: RecordReader, one: PointSoFar, to_s: float, most: int) -> Samples:
        """Read the first so many; of all points but the first everything up to where that ended."""
        found: list[Samples] = []
        after_s, is_first = self.after_s, one is self.points[0]
        while True:
            page = SamplePage(one.server_address, one.point, self.session, after_s, to_s, most)
            samples = samples_of(reader.samples(page))
            found.append(samples)
            if is_first or len(samples) < most:
                break
            after_s = float(samples.times_s[-1])
        return Samples(
            np.concatenate([part.times_s for part in found]),
            np.concatenate([part.numbers for part in found]),
            np.concatenate([part.codes for part in found]),
        )
