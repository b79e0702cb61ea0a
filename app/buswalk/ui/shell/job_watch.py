"""What the running job is, how far it is and how long it will take, from the stream. Plain Python."""

from __future__ import annotations

from buswalk.bus.messages import Command, StartListening, StartPing, StartSearch, StartWatch
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.presence.events import PresenceRound
from buswalk.domain.search.clock_pace import ALONE, left_by_the_clock_s, pace_between
from buswalk.domain.search.events import GoesBetween, SearchProgress
from buswalk.domain.search.ping import Pinged
from buswalk.domain.visit.session_events import JobEnded, JobStarted
from buswalk.ui.shell.head_state import JobCell
from buswalk.ui.wording import duration, seconds_words

NO_JOB = JobCell("No job")
_LEAST_SHARE = 0.005
"""Before so much is done, nothing can be said of the time left."""


class JobWatch:
    """Follows one job."""

    def __init__(self) -> None:
        self._name = ""
        self._began_s = 0.0
        self._share: float | None = None
        self._listen_s = 0.0
        self._progress: SearchProgress | None = None
        self._progress_at_s = 0.0
        self._pace = ALONE
        self._pinged = 0
        self._round_s = 0.0
        self._period_s = 0.0
        self._lost_at_s: float | None = None
        self.wait_s = 0.0

    @property
    def is_running(self) -> bool:
        """Whether there is a job."""
        return bool(self._name)

    @property
    def name(self) -> str:
        """The job's word; '' for none."""
        return self._name

    def asked_for(self, command: Command) -> None:
        """Take a command on its way: it knows wait and length."""
        match command:
            case StartSearch(plan=plan):
                self.wait_s = plan.wait_s
            case StartPing(plan=plan):
                self.wait_s = plan.wait_s
                self._pinged = plan.server_address
            case StartListening(seconds=seconds):
                self._listen_s = seconds
            case StartWatch(plan=plan):
                self.wait_s = max(one.wait_s for one in plan.devices)
                self._period_s = plan.period_s
            case _:
                pass

    def take(self, event: object, at_s: float) -> None:
        """Take an event of the stream, of that line time."""
        match event:
            case JobStarted(name=name, at_s=began_s):
                self._name, self._began_s = name, began_s
                self._share = self._progress = None
                self._lost_at_s = None
                self._round_s = 0.0
                self._pace = ALONE
            case JobEnded():
                self.forget()
            case SearchProgress(asked=asked, planned=planned) if planned:
                self._share = min(1.0, asked / planned)
                self._progress, self._progress_at_s = event, at_s
            case GoesBetween(cycle=cycle):
                self._pace = pace_between(cycle)
            case Pinged(server_address=address):
                self._pinged = address
            case PresenceRound(took_s=took_s):
                self._round_s = took_s
            case _:
                pass

    def forget(self) -> None:
        """There is no job any more."""
        self._name = ""
        self._share = None
        self._lost_at_s = None

    def port_lost(self, at_s: float) -> None:
        """The job waits from now on."""
        self._lost_at_s = at_s

    def port_back(self) -> None:
        """The job goes on."""
        self._lost_at_s = None

    def cell(self, now_s: float, settings: SerialSettings | None) -> JobCell:
        """Return what the head line says."""
        if not self._name:
            return NO_JOB
        words = self._words(settings)
        if self._lost_at_s is not None:
            return JobCell(words, f"waiting {duration(now_s - self._lost_at_s)}", self._share)
        spent_s = max(0.0, now_s - self._began_s)
        share = self._share
        if self._name == "listen" and self._listen_s > 0:
            share = min(1.0, spent_s / self._listen_s)
        if share is None or share < _LEAST_SHARE:
            return JobCell(words, f"{duration(spent_s)} so far", share)
        left_s = max(0.0, self._listen_s - spent_s)
        if self._progress is not None:
            left_s = left_by_the_clock_s(self._progress, self._pace, now_s - self._progress_at_s)
        return JobCell(words, f"{duration(left_s)} left of {duration(spent_s + left_s)}", share)

    def _words(self, settings: SerialSettings | None) -> str:
        at = f" at {settings}" if settings is not None else ""
        match self._name:
            case "search":
                return f"Search{at}"
            case "listen":
                return f"Listen{at}"
            case "ping":
                return f"Ping {self._pinged}" if self._pinged else "Ping"
            case "who is quiet" if self._round_s:
                return f"Who is quiet, every {self._round_s:.1f} s"
            case "watch" if self._period_s:
                return f"Watch every {seconds_words(self._period_s)}"
            case other:
                return other[:1].upper() + other[1:]
