"""The writes of the sessions before this one: of the record that goes on, and of the last records of the same port."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.registers.writing.visit_writes import NO_WRITES, VisitWrites, visit_writes


@dataclass(frozen=True, slots=True)
class EarlierSession:
    """A session in which something was written.

    Attributes:
        session: By this it is named in `EarlierWrites`: below zero, rising with time.
        record: Name of the file.
        of_record: Its number in that file.
        wall_time: At its line time 0.
    """

    session: int
    record: str
    of_record: int
    wall_time: str

    @property
    def words(self) -> str:
        """What people call it."""
        return f"session {self.of_record} of {self.record}"


@dataclass(frozen=True, slots=True)
class RecordedWrites:
    """What one record says of writes.

    Attributes:
        sessions: Number and wall time at line time 0 of each.
        events: Each with the number of its session, in order.
        goes_on: Whether the session that begins is recorded here too: then it is the same visit.
    """

    record: str
    sessions: tuple[tuple[int, str], ...]
    events: tuple[tuple[int, object], ...]
    goes_on: bool = False


@dataclass(frozen=True, slots=True)
class EarlierWrites:
    """All of them in one order of time, so that what one visit changed and a later one put back is as before.

    Attributes:
        visit_from: Sessions from this one on belong to the visit that goes on.
        not_read: Records that could not be read: what they hold is not known.
    """

    writes: VisitWrites = NO_WRITES
    sessions: tuple[EarlierSession, ...] = ()
    visit_from: int = 0
    not_read: tuple[str, ...] = ()

    @property
    def of_visit(self) -> VisitWrites:
        """Those of the visit that goes on."""
        return self.writes.since(self.visit_from)

    def session(self, number: int) -> EarlierSession | None:
        """Return a session by its number; None for one that is none of these."""
        return next((one for one in self.sessions if one.session == number), None)


NO_EARLIER_WRITES = EarlierWrites()


def earlier_writes(records: Sequence[RecordedWrites], not_read: tuple[str, ...] = ()) -> EarlierWrites:
    """Join what records say, the oldest first."""
    named = [(record, number, wall_time) for record in records for number, wall_time in record.sessions]
    sessions = tuple(
        EarlierSession(i - len(named), record.record, number, wall_time)
        for i, (record, number, wall_time) in enumerate(named)
    )
    number_of = {(one.record, one.of_record): one.session for one in sessions}
    events = (
        (number_of[record.record, session], event)
        for record in records
        for session, event in record.events
        if (record.record, session) in number_of
    )
    going_on = [number_of[record.record, number] for record, number, _ in named if record.goes_on]
    return EarlierWrites(visit_writes(events), sessions, min(going_on, default=0), not_read)
