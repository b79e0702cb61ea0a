"""Carries out commands, one job at a time, in one thread. What it does is kept, then shown."""

from __future__ import annotations

import queue
from collections.abc import Callable
from dataclasses import replace

from buswalk.bus.cannot_do import CannotDo
from buswalk.bus.clock_watch import ClockWatch
from buswalk.bus.engine_jobs import (
    AskedLine,
    EchoTestJob,
    EngineJob,
    LearnJob,
    ListenJob,
    PingJob,
    PresenceJob,
    SearchJob,
    WatchJob,
)
from buswalk.bus.engine_marks import mark_event
from buswalk.bus.messages import (
    ClosePort,
    Command,
    Done,
    EditMark,
    EndMark,
    EndProcess,
    HandsOffered,
    KeepPlan,
    ListPorts,
    MakeMark,
    Noticed,
    NumberedCommand,
    OpenPort,
    PortsListed,
    Refused,
    SaveRecordAs,
    SetFactor,
    StartEchoTest,
    StartLearning,
    StartListening,
    StartPing,
    StartPresence,
    StartSearch,
    StartWatch,
    TakeBackMark,
    UseHand,
    WindowGone,
)
from buswalk.bus.outbox import Outbox
from buswalk.bus.parts import CannotOpen, EngineParts
from buswalk.bus.session import Session
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.registers.map_learning.plan import LearntRead
from buswalk.domain.search.events import SearchMemory
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, MarkMade, MarkSource, PlanKept
from buswalk.jobs.asking.stopped import Stopped

LOOK_EVERY_S = 0.05
STARTS_A_JOB = StartSearch | StartListening | StartPing | StartWatch | StartPresence | StartLearning | StartEchoTest
NEEDS_THE_LINE = OpenPort | ClosePort | STARTS_A_JOB
"""Commands that are not carried out in the midst of anything else on the line."""
NO_PORT = "no port is open: open one first"


class LookingStop(StopRequest):
    """Looks at waiting commands whenever the job looks at the stop request; made new for each job."""

    def __init__(self, look: Callable[[], None]) -> None:
        super().__init__()
        self._look = look

    def check(self) -> None:
        """Carry out what can be done meanwhile, then stop if that was asked for."""
        self._look()
        super().check()

    def renew(self) -> None:
        """A stop that came before a job began is not for it."""
        super().__init__()


class Engine:
    """Owns the port and the record."""

    def __init__(self, parts: EngineParts, outbox: Outbox, counted_now_s: Callable[[], float]) -> None:
        self._parts = parts
        self._outbox = outbox
        self._commands: queue.SimpleQueue[NumberedCommand] = queue.SimpleQueue()
        self._later: list[NumberedCommand] = []
        self._stop = LookingStop(self._look)
        self._watch = ClockWatch(parts.wall_now_s, counted_now_s)
        self._session: Session | None = None
        self._job: EngineJob | None = None
        self._jobs_begun = 0
        self._memory = SearchMemory()
        self._learnt: dict[int, tuple[LearntRead, ...]] = {}
        self._is_ended = self._is_orphan = False

    # From other threads

    def take(self, command: NumberedCommand) -> None:
        """Put a command in line."""
        self._commands.put(command)

    def stop(self) -> None:
        """Ask the running job to end."""
        self._stop.set()

    # The one thread

    def run(self) -> None:
        """Work until told to end; gives back port and record whatever happens."""
        for sentence in self._parts.look_back():
            self._outbox.put(Noticed(sentence))
        try:
            while not self._is_ended:
                self._idle()
        finally:
            if self._session is not None and self._is_orphan:
                self._session.abandon()
            elif self._session is not None:
                self._session.close()

    def _idle(self) -> None:
        command = self._next(0.0 if self._listens_between_jobs else LOOK_EVERY_S)
        if command is not None:
            self._carry_out(command)
        elif self._listens_between_jobs:
            self._listen_on()
        if self._session is not None:
            self._session.settle_if_due()
        self._watch_clock()

    def _next(self, wait_s: float) -> NumberedCommand | None:
        if self._later:
            return self._later.pop(0)
        try:
            return self._commands.get(block=wait_s > 0, timeout=wait_s or None)
        except queue.Empty:
            return None

    @property
    def _listens_between_jobs(self) -> bool:
        session = self._session
        if session is None or session.asker is None or session.held is None:
            return False
        return session.held.simulated is None or session.held.simulated.is_walking

    def _listen_on(self) -> None:
        """Between jobs the line is listened to: what others say is evidence, and a lost port is noticed."""
        session = self._session
        if session is None or session.asker is None or session.held is None:
            return
        factor = session.held.simulated.factor if session.held.simulated is not None else 1.0
        try:
            session.asker.listen_until(session.clock.now_s() + LOOK_EVERY_S * factor)
        except Stopped:
            self._stop.renew()
        except PortError as error:
            self._lose_port(session, error)

    def _lose_port(self, session: Session, error: PortError) -> bool:
        """Say it, wait, and tell whether the port is back."""
        session.port_failed(error)
        try:
            while not self._is_ended:
                if session.wait_for_port():
                    return True
                if self._job is not None:
                    return False
        except Stopped:
            self._stop.renew()
        return False

    def _watch_clock(self) -> None:
        words = self._watch.look()
        if words and self._session is not None:
            self._session.keep(MarkMade(words, MarkSource.CLOCK, self._session.clock.now_s()))

    # Commands

    def _look(self) -> None:
        """In the midst of a wait: do what can be done at once, refuse during a job what cannot, else put it by."""
        while (command := self._next_arrived()) is not None:
            if self._job is None and isinstance(command.command, NEEDS_THE_LINE):
                self._later.append(command)
                self._stop.set()
            else:
                self._carry_out(command)
        self._watch_clock()

    def _next_arrived(self) -> NumberedCommand | None:
        try:
            return self._commands.get(block=False)
        except queue.Empty:
            return None

    def _carry_out(self, numbered: NumberedCommand) -> None:
        try:
            self._do(numbered.command)
        except (CannotDo, CannotOpen, PortError, RecordProblem) as problem:
            self._outbox.put(Refused(numbered.command_id, problem.sentence))
        else:
            self._outbox.put(Done(numbered.command_id))

    def _do(self, command: Command) -> None:
        match command:
            case EndProcess():
                self._is_ended = True
                self._stop.set()
            case WindowGone():
                # Where an end was asked for in order, the pipe ends too, a moment later.
                self._is_orphan = not self._is_ended
                self._is_ended = True
                self._stop.set()
            case ListPorts():
                self._outbox.put(PortsListed(self._parts.list_ports()))
            case MakeMark() | EndMark() | EditMark() | TakeBackMark():
                session = self._any_session()
                session.keep(mark_event(command, session.recorder, session.clock.now_s()))
            case KeepPlan(devices):
                session = self._any_session()
                session.keep(PlanKept(devices, session.clock.now_s()))
            case UseHand() | SetFactor():
                self._use_simulated(command)
            case SaveRecordAs(name):
                session = self._any_session()
                self._parts.keep_recording_as(session.recorder, name)
                session.tell_record()
            case OpenPort() | ClosePort():
                self._change_port(command)
            case StartSearch(plan, goes_on):
                job = SearchJob(replace(plan, memory=self._memory) if goes_on else plan)
                self._run(job)
                self._memory = job.memory
            case StartListening(seconds, settings):
                self._run(ListenJob(seconds, settings))
            case StartPing(ping_plan):
                self._run(PingJob(ping_plan))
            case StartWatch(watch_plan):
                self._run(WatchJob(watch_plan))
            case StartPresence(presence_plan):
                self._run(PresenceJob(presence_plan))
            case StartLearning(learn_plan, goes_on):
                known = self._learnt.get(learn_plan.server_address, ()) if goes_on else learn_plan.memory
                learning = LearnJob(replace(learn_plan, memory=known))
                self._run(learning)
                self._learnt[learn_plan.server_address] = learning.memory
            case StartEchoTest():
                self._run(EchoTestJob())

    def _any_session(self) -> Session:
        if self._session is None:
            raise CannotDo(NO_PORT)
        return self._session

    def _use_simulated(self, command: UseHand | SetFactor) -> None:
        session = self._any_session()
        simulated = session.held.simulated if session.held is not None else None
        if simulated is None:
            raise CannotDo("only a simulated line has hands and a time that can be hurried")
        try:
            if isinstance(command, SetFactor):
                simulated.set_factor(command.factor)
                session.tell_time()
                words = f"time on this line passes {command.factor:g} times as fast as on the wall"
            else:
                words = simulated.use(command.hand, command.at)
        except KeyError as error:
            raise CannotDo(f"there is no device {error} on this line") from error
        except ValueError as error:
            raise CannotDo(str(error)) from error
        session.keep(MarkMade(words, MarkSource.HAND, session.clock.now_s()))

    def _change_port(self, command: OpenPort | ClosePort) -> None:
        self._refuse_while_busy()
        if self._session is not None:
            self._session.close()
            self._session = None
        if isinstance(command, ClosePort):
            return
        self._memory = SearchMemory()
        try:
            held = self._parts.open_line(command.port, command.settings, command.options)
        except PortError as error:
            self._session = Session(self._parts, self._outbox, self._stop, command.port, None)
            self._session.port_failed(error)
            raise
        self._session = Session(self._parts, self._outbox, self._stop, held.record_name, held)
        if held.simulated is not None:
            self._outbox.put(HandsOffered(held.simulated.devices))

    def _refuse_while_busy(self) -> None:
        if self._job is not None:
            raise CannotDo(f"a job is running ({self._job.name}): stop it first")

    # Jobs

    def _run(self, job: EngineJob) -> None:
        self._refuse_while_busy()
        session = self._any_session()
        if session.asker is None:
            raise CannotDo(NO_PORT)
        self._jobs_begun += 1
        number = self._jobs_begun
        self._stop.renew()
        self._job = job
        session.keep(JobStarted(number, job.name, session.clock.now_s()))
        try:
            with self._parts.stay_awake():
                end, sentence = self._drive(job, session)
        finally:
            self._job = None
            self._stop.renew()
        session.keep(JobEnded(number, job.name, end, sentence, session.clock.now_s()))

    def _drive(self, job: EngineJob, session: Session) -> tuple[JobEndKind, str]:
        """Run to the end, over as many losses of the port as there are."""
        while session.asker is not None:
            try:
                for event in job.run(AskedLine(session.asker, session.evidence)):
                    session.keep(event)
                return JobEndKind.FINISHED, ""
            except Stopped:
                return JobEndKind.STOPPED, "stopped by the user; what was found so far stands"
            except PortError as error:
                if error.problem is not PortProblem.VANISHED:
                    return JobEndKind.FAILED, error.sentence
                if not self._lose_port(session, error):
                    return JobEndKind.PORT_LOST, error.sentence
        return JobEndKind.PORT_LOST, NO_PORT
