"""Loss timers for all pages: who falls back when nobody asks, how long nobody has, whom we leave alone. No Qt."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.messages import Kept, Skipped, StreamItem
from buswalk.domain.line_events import ExchangeDone, OtherClientNoticed, SettingsApplied, StrayArrival
from buswalk.domain.loss_timers.asked_times import AskedTimes
from buswalk.domain.loss_timers.timed_devices import NO_TIMERS, KnownTimers
from buswalk.domain.loss_timers.timer_book import TimerBook
from buswalk.domain.loss_timers.timer_words import DOCUMENTS, device_words, held_up_words
from buswalk.domain.loss_timers.unasked import Countdown, Stage, countdowns, left_alone
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.search.events import LivingLine
from buswalk.domain.visit.session_events import JobEnded, JobStarted, PortClosed, SessionStarted

ASKS_ON = frozenset({"watch", "ping", "who is quiet"})
"""Jobs that ask the same devices again and again, so that a timer runs on when they end."""
MOST_TOLD = 3
NOT_READ_YET = "If it is held up, a device may fall back: the profiles that tell of loss timers are still being read."


class TimerDesk:
    """Takes the stream. `tell_left_alone` is told a headline and words when a job leaves devices alone, '' when not."""

    def __init__(self, library: Callable[[], ProfileLibrary], are_imported: Callable[[], bool] = lambda: True) -> None:
        self._book = TimerBook(library)
        self._are_imported = are_imported
        self._asked = AskedTimes()
        self._known: tuple[object, KnownTimers] = (None, NO_TIMERS)
        self._is_living = False
        self.tell_left_alone: Callable[[str, str], None] = lambda _headline, _words: None

    def take(self, item: StreamItem) -> None:
        """Take one item."""
        match item:
            case Skipped():
                # Requests may be among what was left out: who was asked when is not known any more.
                self._asked = AskedTimes()
            case Kept(event=ExchangeDone() | StrayArrival() | SettingsApplied() | OtherClientNoticed() as event):
                self._asked.take(event)
            case Kept(event=event, at_s=at_s):
                self._take_event(event, at_s)
            case _:
                pass

    def _take_event(self, event: object, at_s: float) -> None:
        self._book.take(event)
        match event:
            case LivingLine():
                self._is_living = True
            case SessionStarted() | PortClosed():
                self._asked = AskedTimes()
                self._is_living = False
                self.tell_left_alone("", "")
            case JobStarted():
                self.tell_left_alone("", "")
            case JobEnded(name=name) if name in ASKS_ON:
                self._leave_alone(at_s)
            case _:
                pass

    def timers(self) -> KnownTimers:
        """Return what is known: of all that have a timer, and of those asked by others that nothing is known of."""
        if not self._are_imported():
            return NO_TIMERS
        others = self._asked.asked_by_others()
        state = (self._book.version, others)
        if state != self._known[0]:
            timers = self._book.timers(others)
            asked = tuple(one for one in timers.not_known if one in others)
            self._known = (state, KnownTimers(timers.timed, asked))
        return self._known[1]

    @property
    def version(self) -> int:
        """Another number whenever what is told here may be another."""
        return self._book.version if self._are_imported() else -1

    def held_up_words(self) -> str:
        """Return what may follow where another client, told of before, is held up."""
        return held_up_words(self.timers()) if self._are_imported() else NOT_READ_YET

    def beside_words(self) -> str:
        """Return what to know before a line is asked on which another client was heard; empty where none was."""
        if not self._is_living and not self._asked.asked_by_others():
            return ""
        return f"Another client was heard here. {self.held_up_words()}"

    def held_up(self, now_s: float) -> tuple[Countdown, ...]:
        """Return the devices of other clients that nobody has asked for half of their timer or more."""
        if not self._asked.asked_by_others():
            return ()
        return tuple(one for one in countdowns(self.timers(), self._asked, now_s) if one.stage is not Stage.ASKED)

    def _leave_alone(self, now_s: float) -> None:
        """We were the only one to ask: say who reacts now that we do not."""
        if self._asked.asked_by_others():
            return
        devices = [one.device for one in left_alone(self.timers(), self._asked, now_s) if one.stage is not Stage.OVER]
        if not devices:
            return
        more = [f"{device_words(one)}." for one in devices[1:MOST_TOLD]]
        if len(devices) > MOST_TOLD:
            more.append(f"And {len(devices) - MOST_TOLD} more.")
        headline = f"We have stopped, and nobody else was heard to ask. {device_words(devices[0])}"
        self.tell_left_alone(headline, " ".join([*more, "Ask on, or see to it that its client does.", DOCUMENTS]))


def no_timers() -> TimerDesk:
    """Return a desk that knows no device."""
    return TimerDesk(lambda: ProfileLibrary(()))
