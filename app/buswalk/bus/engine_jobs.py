"""The jobs that the bus process runs. Each can be run again after the port was lost, and goes on where it was."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Protocol

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.events import Heard, ListeningEnded, ListeningEvent
from buswalk.domain.presence.events import PresenceEvent
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.readdressing.events import ReaddressEvent
from buswalk.domain.readdressing.plan import ReaddressPlan
from buswalk.domain.registers.map_learning.plan import LearnPlan, LearntRead
from buswalk.domain.search.events import SearchEvent, SearchMemory, SearchPlan
from buswalk.domain.search.ping import Pinged, PingPlan
from buswalk.domain.visit.session_events import EchoTested
from buswalk.domain.watching.events import WatchEvent
from buswalk.domain.watching.one_round import OneRound
from buswalk.domain.watching.plan import WatchEnd, WatchPlan
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.asking.write_lock import WriteLock
from buswalk.jobs.echo_testing import echo_test
from buswalk.jobs.listening import listen_with
from buswalk.jobs.map_learning import MapLearner
from buswalk.jobs.pinging import ping
from buswalk.jobs.presence import watch_presence
from buswalk.jobs.readdressing import Readdressing
from buswalk.jobs.safe_point import SafePoint
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search
from buswalk.jobs.watching import Watch


@dataclass(frozen=True, slots=True)
class AskedLine:
    """What a job works with: the asker of a line, and where its late replies and strays are collected."""

    asker: Asker
    evidence: Evidence


class EngineJob(Protocol):
    """A whole activity on the line."""

    @property
    def name(self) -> str:
        """A word of the trade."""

    @property
    def has_safe_points(self) -> bool:
        """Whether it yields `SafePoint` often, so that a write can be slipped in."""

    def run(self, line: AskedLine) -> Iterator[object]:
        """Begin, or go on after the port was lost. Raises PortError and Stopped."""


class SearchJob:
    """Finds which addresses and settings answer."""

    name = "search"
    has_safe_points = False

    def __init__(self, plan: SearchPlan) -> None:
        self._plan = plan
        self._search: Search | None = None

    @property
    def memory(self) -> SearchMemory:
        """What has been asked and found so far."""
        return self._plan.memory if self._search is None else self._search.memory

    def run(self, line: AskedLine) -> Iterator[SearchEvent]:
        """Begin, or go on: nothing is asked twice."""
        if self._search is not None:
            self._plan = replace(self._plan, memory=self._search.memory, listen_s=0.0)
        self._search = Search(line.asker, line.evidence, self._plan)
        return self._search.run()


class ListenJob:
    """Listens without sending one byte."""

    name = "listen"
    has_safe_points = False

    def __init__(self, seconds: float, settings: SerialSettings) -> None:
        self._seconds = seconds
        self._settings = settings

    def run(self, line: AskedLine) -> Iterator[ListeningEvent]:
        """Begin anew: what was heard before the port was lost is in the record."""
        line.asker.use_settings(self._settings)
        return listen_with(line.asker, self._seconds)


class PingJob:
    """Asks one device again and again."""

    name = "ping"
    has_safe_points = True

    def __init__(self, plan: PingPlan) -> None:
        self._plan = plan

    def run(self, line: AskedLine) -> Iterator[Pinged | SafePoint]:
        """Begin, or begin again."""
        for event in ping(line.asker, self._plan):
            yield event
            yield SafePoint()


class WatchJob:
    """Asks each device in turn until it is stopped."""

    name = "watch"
    has_safe_points = True

    def __init__(self, plan: WatchPlan) -> None:
        self._plan = plan

    def run(self, line: AskedLine) -> Iterator[WatchEvent | SafePoint]:
        """Begin, or go on after the port was lost: without listening first, as it was said who is there."""
        plan, self._plan = self._plan, replace(self._plan, listen_s=0.0)
        if plan.end is WatchEnd.WHEN_STOPPED:
            yield from Watch(line.asker, line.evidence, plan).run_with_safe_points()
            return
        one_round = OneRound()
        for event in Watch(line.asker, line.evidence, plan, lambda: one_round.is_done).run_with_safe_points():
            one_round.take(event)
            yield event


class PresenceJob:
    """Asks all that answer in turn until it is stopped."""

    name = "who is quiet"
    has_safe_points = False

    def __init__(self, plan: PresencePlan) -> None:
        self._plan = plan

    def run(self, line: AskedLine) -> Iterator[PresenceEvent]:
        """Begin, or begin again with a new base after the port was lost: who was there before is in the record."""
        plan, self._plan = self._plan, replace(self._plan, listen_s=0.0)
        return watch_presence(line.asker, line.evidence, plan)


class LearnJob:
    """Learns which addresses of one device can be read."""

    name = "learn"
    has_safe_points = False

    def __init__(self, plan: LearnPlan) -> None:
        self._plan = plan
        self._learner: MapLearner | None = None

    @property
    def memory(self) -> tuple[LearntRead, ...]:
        """What was asked so far and what came of it."""
        return self._plan.memory if self._learner is None else self._learner.memory

    def run(self, line: AskedLine) -> Iterator[object]:
        """Begin, or go on after the port was lost: nothing is asked twice."""
        if self._learner is not None:
            self._plan = replace(self._plan, memory=self._learner.memory, listen_s=0.0)
        self._learner = MapLearner(line.asker, self._plan)
        return self._learner.run()


class ReaddressJob:
    """Sets one device to another address or speed by writing."""

    name = "set address"
    has_safe_points = False

    def __init__(self, lock: WriteLock, plan: ReaddressPlan) -> None:
        self._lock = lock
        self._plan = plan
        self._has_begun = False

    def run(self, line: AskedLine) -> Iterator[ReaddressEvent | Heard | ListeningEnded]:
        """Begin; after the port was lost only look where the device is: nothing is written twice."""
        readdressing = Readdressing(line.asker, self._lock, self._plan)
        has_begun, self._has_begun = self._has_begun, True
        return readdressing.look_again() if has_begun else readdressing.run()


class LookForMovedJob:
    """Looks where a device is that was written to before."""

    name = "look for it"
    has_safe_points = False

    def __init__(self, lock: WriteLock, plan: ReaddressPlan) -> None:
        self._lock = lock
        self._plan = plan

    def run(self, line: AskedLine) -> Iterator[ReaddressEvent]:
        """Begin, or begin again: it only reads."""
        return Readdressing(line.asker, self._lock, self._plan).look_again()


class EchoTestJob:
    """Finds out whether the port hears itself."""

    name = "echo test"
    has_safe_points = False

    def run(self, line: AskedLine) -> Iterator[EchoTested]:
        """Begin."""
        return echo_test(line.asker)
