"""The writes that the window knows: of its own stream, and what it was told of earlier sessions. Plain Python."""

from __future__ import annotations

from datetime import datetime, timedelta

from buswalk.domain.registers.writing.earlier_writes import NO_EARLIER_WRITES, EarlierWrites
from buswalk.domain.registers.writing.intended import Target
from buswalk.domain.registers.writing.second_thoughts import WearSoFar, wear_so_far
from buswalk.domain.registers.writing.visit_writes import Change, OneWrite, VisitWrites
from buswalk.domain.visit.session_events import PortOpened, SessionStarted
from buswalk.ui.wording import stamp


class KnownWrites:
    """Own sessions count from 1; earlier ones are below zero, as the bus process numbers them."""

    def __init__(self) -> None:
        self._earlier: EarlierWrites = NO_EARLIER_WRITES
        self._own = VisitWrites()
        self._all = VisitWrites()
        self._began: dict[int, str] = {}
        self._ports: dict[int, str] = {}
        self.session = 0

    # What is told

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case SessionStarted(wall_time=wall_time):
                self.session += 1
                self._began[self.session] = wall_time
                self._earlier = NO_EARLIER_WRITES
            case PortOpened(port=port):
                self._ports[self.session] = port
                self._join()
        self._own = self._own.after(event, self.session)
        self._all = self._all.after(event, self.session)

    def tell_earlier(self, earlier: EarlierWrites) -> None:
        """Take what the sessions before this one wrote; it comes once, before the port is open."""
        self._earlier = earlier
        self._began |= {one.session: one.wall_time for one in earlier.sessions}
        self._join()

    def _join(self) -> None:
        """Of own earlier sessions only what no record told counts, and only of the port that is open."""
        told = {(self._began.get(one.session, ""), one.begun.write) for one in self._earlier.writes.writes}
        port = self._ports.get(self.session, "")
        own = tuple(
            one
            for one in self._own.writes
            if (self._began.get(one.session, ""), one.begun.write) not in told and self._ports.get(one.session) == port
        )
        self._all = VisitWrites((*self._earlier.writes.writes, *own))

    # What is known

    def not_put_back(self) -> tuple[Change, ...]:
        """Return what was changed and does not hold its old value again."""
        return self._all.not_put_back()

    def to(self, target: Target) -> tuple[OneWrite, ...]:
        """Return all writes to a place, in order."""
        return tuple(one for one in self._all.writes if one.begun.intended.target == target)

    def change_of(self, target: Target) -> Change | None:
        """Return how a place was changed, if it was not put back."""
        return next((one for one in self.not_put_back() if one.intended.target == target), None)

    @property
    def _of_visit(self) -> VisitWrites:
        return self._all.since(self._earlier.visit_from)

    def count_to(self, target: Target) -> int:
        """Return how many were sent to a place in this visit."""
        return self._of_visit.count_to(target)

    def wear(self, target: Target, now_s: float) -> WearSoFar:
        """Return what was written to a place in this visit, and since when, at a line time of this session."""
        began = {session: datetime.fromisoformat(words) for session, words in self._began.items() if words}
        if self.session not in began:
            return WearSoFar(self.count_to(target), 0.0)
        now = began[self.session] + timedelta(seconds=now_s)
        return wear_so_far(self._of_visit, target, began, now)

    # In words

    def is_earlier(self, write: OneWrite) -> bool:
        """Tell whether another session than the present one wrote it."""
        return write.session != self.session

    def when(self, write: OneWrite) -> str:
        """Return when it was written: the time of day, of earlier sessions with the date."""
        began = self._began.get(write.session, "")
        if not began:
            return ""
        time = stamp(began, write.begun.at_s)
        if not self.is_earlier(write):
            return time
        day = datetime.fromisoformat(began) + timedelta(seconds=write.begun.at_s)
        return f"{day:%Y-%m-%d} {time}"

    def of_session(self, write: OneWrite) -> str:
        """Return which session wrote it, in words; empty for one of this window."""
        session = self._earlier.session(write.session)
        return session.words if session is not None else ""
