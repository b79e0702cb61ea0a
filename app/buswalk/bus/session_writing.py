"""The guarded writes of a session: its lock, its orders one at a time, and the looks that are still to come."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from math import floor

from buswalk.bus.cannot_do import NO_PORT, CannotDo
from buswalk.bus.session import Session
from buswalk.bus.write_messages import (
    PutBack,
    PutBackPlace,
    SendFrame,
    WriteCommand,
    WriteValue,
    WritingTold,
)
from buswalk.domain.registers.writing.events import LockedBecause, WritingLocked, WritingUnlocked
from buswalk.domain.registers.writing.intended import SecondConfirmation, Target
from buswalk.domain.registers.writing.order import WriteOrder, put_back_order
from buswalk.domain.registers.writing.visit_writes import VisitWrites
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_guard import GuardRefusal
from buswalk.jobs.asking.write_lock import LOCKED_WORDS, OPEN_FOR_S, Open, Shut, WriteLock
from buswalk.jobs.writing import GuardedWrite, require_orderly

LOOK_TAKES_S = 0.3
"""A look is slipped in where a job has nothing to ask for so long, or else when it is late by `MOST_LATE_S`."""
MOST_LATE_S = 1.0
THIS_SESSION = 0
"""Earlier sessions are below zero."""
NEVER_READ = "the old value was never read: nothing can be put back"


class SessionWriting:
    """Made anew with each session, and so locked again whenever a port is opened."""

    def __init__(self, session: Session, real_now_s: Callable[[], float], tell: Callable[[WritingTold], None]) -> None:
        self._session = session
        self._tell = tell
        self._told_s = -1
        self._visit: VisitWrites = session.earlier.of_visit
        self._all: VisitWrites = session.earlier.writes
        self._count = 0
        self._to_look: list[GuardedWrite] = []
        self.lock = WriteLock(real_now_s)

    # The lock

    def unlock(self, reason: str) -> None:
        """Open it, and keep why. Raises GuardRefusal for a reason that says nothing."""
        self.lock.unlock(reason)
        self._told_s = floor(OPEN_FOR_S) + 1
        self._session.keep(WritingUnlocked(reason.strip(), OPEN_FOR_S, self._session.clock.now_s()))
        self.watch()

    def shut(self, because: LockedBecause) -> None:
        """Shut it, if it is open."""
        if isinstance(self.lock.state, Open):
            self.lock.lock()
            self._say_locked(because)

    def watch(self) -> None:
        """Tell how long it is still open, each second of the wall, and that it is over."""
        state = self.lock.state
        if isinstance(state, Open) and floor(state.left_s) != self._told_s:
            self._told_s = floor(state.left_s)
            self._tell(WritingTold(is_open=True, reason=state.reason, left_s=state.left_s))
        elif isinstance(state, Shut) and self._told_s >= 0:
            self._say_locked(LockedBecause.TIME_IS_OVER)

    def require_open(self) -> None:
        """Raise GuardRefusal where it is shut."""
        if isinstance(self.lock.state, Shut):
            raise GuardRefusal(LOCKED_WORDS)

    def _say_locked(self, because: LockedBecause) -> None:
        self._told_s = -1
        self._session.keep(WritingLocked(because, self._session.clock.now_s()))
        self._tell(WritingTold(is_open=False, reason="", left_s=0.0))

    # Orders

    def carry_out(self, command: WriteCommand) -> None:
        """Do what was ordered, up to the first look.

        Raises:
            GuardRefusal, CannotDo: It may not be, or cannot be; nothing was written.
            PortError: The port was lost.
            Stopped: The user's stop, behind the first look.
        """
        match command:
            case WriteValue(order):
                self._write(order)
            case PutBack(write, reason, confirmed):
                one = self._visit.write(write, THIS_SESSION)
                if one is None:
                    raise CannotDo(f"write {write} is none of this session")
                putting_back = put_back_order(one, reason, confirmed)
                if putting_back is None:
                    raise CannotDo(NEVER_READ)
                self._write(putting_back)
            case PutBackPlace(target, reason, confirmed):
                self._write(self._order_for(target, reason, confirmed))
            case SendFrame():
                self._send(command)

    def _order_for(self, target: Target, reason: str, confirmed: frozenset[SecondConfirmation]) -> WriteOrder:
        """Return the order that puts a place back, whichever session changed it; what the window says is not enough."""
        change = next((one for one in self._all.not_put_back() if one.intended.target == target), None)
        if change is None:
            raise CannotDo("nothing that was changed there is known")
        of_session = self._session.earlier.session(change.last.session)
        order = put_back_order(change.whole, reason, confirmed, of_session.words if of_session is not None else "")
        if order is None:
            raise CannotDo(NEVER_READ)
        return order

    def _write(self, order: WriteOrder) -> None:
        self.require_open()
        require_orderly(order, self._visit.count_to(order.intended.target))
        self._count += 1
        write = GuardedWrite(self._count, order, self.lock)
        try:
            with self._asker_restored() as asker:
                for event in write.run(asker):
                    self._keep(event)
        finally:
            if not write.is_over and write.has_begun:
                # An earlier write to the same place is judged now: what stands there is no longer its.
                self._judge_earlier(order)
                self._to_look.append(write)

    def _judge_earlier(self, order: WriteOrder) -> None:
        earlier = [one for one in self._to_look if one.intended.target == order.intended.target]
        for one in earlier:
            self._to_look.remove(one)
            self._keep(one.give_up_looking(self._asker))

    def _send(self, command: SendFrame) -> None:
        frame = command.frame
        leave = self.lock.leave_for(frame)
        if command.second_confirmation:
            leave = self.lock.leave_confirmed_twice(frame, command.second_confirmation)
        with self._asker_restored() as asker:
            asker.use_settings(command.settings)
            try:
                asker.send_frame(frame, AskTiming(command.response_timeout_s), leave)
            except ValueError as reason:
                raise CannotDo(str(reason)) from reason

    # Looks

    @property
    def next_look_s(self) -> float:
        """Line time of the next look; never, if none is to come."""
        return min((one.next_look_s for one in self._to_look), default=float("inf"))

    def look_if_due(self, free_for_s: float = float("inf")) -> None:
        """Take the looks that are due, at a moment when nothing else is asked. Raises PortError and Stopped."""
        now_s = self._session.clock.now_s()
        for one in list(self._to_look):
            is_due = now_s >= one.next_look_s
            if is_due and (free_for_s >= LOOK_TAKES_S or now_s >= one.next_look_s + MOST_LATE_S):
                self._look(one)

    def _look(self, one: GuardedWrite) -> None:
        with self._asker_restored() as asker:
            for event in one.look(asker):
                self._keep(event)
        if one.is_over:
            self._to_look.remove(one)

    def finish(self) -> None:
        """The port is given back: say of each write what is known by the looks so far, and shut the lock."""
        for one in self._to_look:
            self._keep(one.give_up_looking(self._asker))
        self._to_look.clear()
        self.shut(LockedBecause.PORT_CLOSED)

    # How

    def _keep(self, event: object) -> None:
        self._visit = self._visit.after(event, THIS_SESSION)
        self._all = self._all.after(event, THIS_SESSION)
        self._session.keep(event)

    @property
    def _asker(self) -> Asker:
        if self._session.asker is None:
            raise CannotDo(NO_PORT)
        return self._session.asker

    @contextmanager
    def _asker_restored(self) -> Iterator[Asker]:
        """Give the asker, and its settings back to whoever had them."""
        asker = self._asker
        before = asker.settings
        yield asker
        asker.use_settings(before)
