"""Starts and stops reading: once or again and again, after listening; others are watched on. Plain Python."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Kept, StartWatch, StreamItem
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.modbus.exchange import Turnaround
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import NoSuchProfile, ProfileLibrary
from buswalk.domain.registers.samples import PointsWatched
from buswalk.domain.search.events import ListenedFirst, LivingLine, Verdict
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, PortOpened, SessionStarted
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.pages.registers.known_devices import KnownDevice, KnownDevices
from buswalk.ui.pages.registers.read_plans import watch_plan, watched_device
from buswalk.ui.wording import duration

WATCH_JOB = "watch"


class ReadingDesk:
    """Knows what is read now, and whether the line was found silent."""

    def __init__(self, commands: Commands, devices: KnownDevices) -> None:
        self.jobs = JobDesk(commands)
        self._devices = devices
        self.traits: LineTraits | None = None
        self._is_known_silent = False
        self._watched: dict[int, PointsWatched] = {}
        self._asked: WatchPlan | None = None
        self._has_started = False
        self._longest_s: dict[int, float] = {}
        self.living_line = ""
        self.problem = ""

    @property
    def is_watching(self) -> bool:
        """Whether a watch runs."""
        return self.jobs.running == WATCH_JOB

    @property
    def is_listening(self) -> bool:
        """Whether our watch listens before it asks."""
        return self.is_watching and not self._watched

    def reads(self, server_address: int) -> bool:
        """Tell whether a device's points are read now, or are about to be."""
        is_asked = self._asked is not None and any(one.server_address == server_address for one in self._asked.devices)
        return self.is_watching and (server_address in self._watched or is_asked)

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self.jobs.take(item)
        if isinstance(item, Kept):
            self._event(item.event)

    def _event(self, event: object) -> None:
        match event:
            case SessionStarted():
                self._is_known_silent, self.traits, self._asked, self.living_line = False, None, None, ""
                self._watched.clear()
                self._longest_s.clear()
            case ExchangeDone(exchange) if isinstance(exchange.turnaround, Turnaround):
                address, seen_s = exchange.server_address, exchange.turnaround.not_more_than_s
                self._longest_s[address] = max(self._longest_s.get(address, 0.0), seen_s)
            case PortOpened(traits=traits):
                self.traits = traits
            case ListeningEnded(verdict=verdict) | ListenedFirst(verdict=verdict):
                self._is_known_silent = verdict is Verdict.SILENT
            case LivingLine(sentence=sentence):
                self._is_known_silent = False
                self.living_line = sentence if self._asked is not None else ""
            case JobStarted(name=name):
                self._watched.clear()
                self.problem = ""
                if name != WATCH_JOB:
                    self._asked = None
            case JobEnded(sentence=sentence, end=end):
                self._watched.clear()
                if not self.living_line:
                    self._asked = None
                if end is JobEndKind.FAILED:
                    self.problem = sentence
            case PointsWatched(server_address=address):
                self._watched[address] = event
            case _:
                pass

    def longest_turnaround_s(self, server_address: int) -> float:
        """Return the longest turnaround seen of a device; 0 where none was."""
        return self._longest_s.get(server_address, 0.0)

    def start(self, device: WatchedDevice, period_s: float, library: ProfileLibrary) -> None:
        """Read a device; with a period, what is watched of other devices is watched on."""
        others = self._others(device.server_address, library) if period_s else ()
        plan = watch_plan((*others, device), period_s, is_known_silent=self._is_known_silent)
        self._send(plan)

    def start_beside(self) -> None:
        """Read though another client is alive: the user was told, and said so."""
        if self._asked is not None:
            self._send(replace(self._asked, may_ask_living_line=True, listen_s=0.0))

    def leave_alone(self) -> bool:
        """Ask nothing beside the other client; tell whether that was the question."""
        had_question = bool(self.living_line)
        self.living_line, self._asked = "", None
        return had_question

    def stop(self) -> None:
        """Pause."""
        self.jobs.stop()

    def _send(self, plan: WatchPlan) -> None:
        self.living_line = self.problem = ""

        def sent() -> None:
            self._asked = plan

        self.jobs.start(StartWatch(plan), sent)

    def _others(self, server_address: int, library: ProfileLibrary) -> tuple[WatchedDevice, ...]:
        found = []
        for event in self._watched.values():
            if event.server_address != server_address:
                device = self._devices.at(event.server_address)
                known = device or KnownDevice(event.server_address, event.settings)
                names = tuple(one.name for one in event.points)
                longest_s = self.longest_turnaround_s(event.server_address)
                found.append(watched_device(known, _profile_of(event, library), names, longest_s))
        return tuple(found)

    def listening_words(self, now_s: float) -> str:
        """Return that the line is listened to first, and for how long so far."""
        return (
            f"Listening first, {duration(now_s - self.jobs.running_from_s)} so far: another client must be known "
            "before it is disturbed."
        )


def _profile_of(event: PointsWatched, library: ProfileLibrary) -> RegisterProfile:
    """Return the points as they were described, with the rules of their profile where it is known."""
    try:
        rules = library.named(event.profile).rules
    except NoSuchProfile:
        return RegisterProfile(event.profile, event.profile, event.points)
    return RegisterProfile(event.profile, event.profile, event.points, rules)
