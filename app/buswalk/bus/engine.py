"""Carries out commands, one job at a time, in one thread. What it does is kept, then shown."""

from __future__ import annotations

import queue
from collections.abc import Callable
from dataclasses import replace

from buswalk.bus.cannot_do import CannotDo
from buswalk.bus.clock_watch import ClockWatch
from buswalk.bus.engine_hands import use_simulated
from buswalk.bus.engine_jobs import AskedLine, EngineJob, LearnJob, LookForMovedJob, ReaddressJob, SearchJob
from buswalk.bus.engine_marks import mark_event
from buswalk.bus.job_commands import BeginsJob, job_of
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
    LookForMoved,
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
    StartReaddress,
    StartSearch,
    StartWatch,
    TakeBackMark,
    UseHand,
    WindowGone,
)
from buswalk.bus.outbox import Outbox
from buswalk.bus.parts import CannotOpen, EngineParts
from buswalk.bus.session import Session
from buswalk.bus.session_writing import SessionWriting
from buswalk.bus.stop_request import StopRequest
from buswalk.bus.write_messages import (
    LockWriting,
    PutBack,
    PutBackPlace,
    SendFrame,
    UnlockWriting,
    WriteCommand,
    WriteValue,
)
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.registers.map_learning.plan import LearntRead
from buswalk.domain.registers.writing.events import LockedBecause
from buswalk.domain.search.events import SearchMemory
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, MarkMade, MarkSource, PlanKept
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_guard import GuardRefusal
from buswalk.jobs.safe_point import SafePoint

LOOK_EVERY_S = 0.05
NEEDS_THE_LINE = OpenPort | ClosePort | BeginsJob | WriteCommand
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
        self._slips: list[NumberedCommand] = []
        self._counted_now_s = counted_now_s
        self._stop = LookingStop(self._look)
        self._watch = ClockWatch(parts.wall_now_s, counted_now_s)
        self._session: Session | None = None
        self._writing: SessionWriting | None = None
        self._job: EngineJob | None = None
        self._jobs_begun = 0
        self._memory = SearchMemory()
        self._learnt: dict[int, tuple[LearntRead, ...]] = {}

        self._is_ended = self._is_orphan = self._is_at_safe_point = False

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
            else:
                self._close_session()

    def _idle(self) -> None:
        command = self._next(0.0 if self._listens_between_jobs else LOOK_EVERY_S)
        if command is not None:
            self._carry_out(command)
        elif self._listens_between_jobs:
            self._listen_on()
        self._look_at_writes()
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
        """Say it, lock writing, wait, and tell whether the port is back."""
        if self._writing is not None:
            self._writing.shut(LockedBecause.PORT_CLOSED)
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
        if self._writing is not None:
            self._writing.watch()
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
            elif self._job is not None and self._job.has_safe_points and isinstance(command.command, WriteCommand):
                self._slips.append(command)
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
        except (CannotDo, CannotOpen, GuardRefusal, PortError, RecordProblem) as problem:
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
                use_simulated(command, self._any_session())
            case SaveRecordAs(name):
                session = self._any_session()
                self._parts.keep_recording_as(session.recorder, name)
                session.tell_record()
            case OpenPort() | ClosePort():
                self._change_port(command)
            case StartSearch(plan, goes_on):
                plan = replace(plan, known_types=self._parts.known_types())
                job = SearchJob(replace(plan, memory=self._memory) if goes_on else plan)
                self._run(job)
                self._memory = job.memory
            case StartLearning(learn_plan, goes_on):
                known = self._learnt.get(learn_plan.server_address, ()) if goes_on else learn_plan.memory
                learning = LearnJob(replace(learn_plan, memory=known))
                self._run(learning)
                self._learnt[learn_plan.server_address] = learning.memory
            case StartListening() | StartPing() | StartWatch() | StartPresence() | StartEchoTest():
                self._run(job_of(command))
            case StartReaddress(readdress_plan):
                writing = self._any_writing()
                writing.require_open()
                self._run(ReaddressJob(writing.lock, readdress_plan))
            case LookForMoved(written_plan):
                self._run(LookForMovedJob(self._any_writing().lock, written_plan))
            case UnlockWriting(reason):
                self._any_writing().unlock(reason)
            case LockWriting():
                self._any_writing().shut(LockedBecause.USER)
            case WriteValue() | PutBack() | PutBackPlace() | SendFrame():
                self._write(command)

    def _any_session(self) -> Session:
        if self._session is None:
            raise CannotDo(NO_PORT)
        return self._session

    # Writing

    def _any_writing(self) -> SessionWriting:
        if self._writing is None or self._any_session().asker is None:
            raise CannotDo(NO_PORT)
        return self._writing

    def _write(self, command: WriteCommand) -> None:
        """Carry it out between jobs; during one this is called at its safe points only."""
        if not self._is_at_safe_point:
            self._refuse_while_busy()
        try:
            self._any_writing().carry_out(command)
        except Stopped:
            self._stop_was_for_job()

    def _stop_was_for_job(self) -> None:
        """A stop that came during a write was kept until behind its first look: it is for the job, if there is one."""
        self._stop.renew()
        if self._job is not None:
            self._stop.set()

    def _look_at_writes(self) -> None:
        """Between jobs: take the looks that are due; where time stands without a job, let it pass until then."""
        session, writing = self._session, self._writing
        if session is None or writing is None or session.asker is None or writing.next_look_s == float("inf"):
            return
        try:
            if not self._listens_between_jobs:
                session.asker.listen_until(writing.next_look_s)
            writing.look_if_due()
        except Stopped:
            self._stop.renew()
        except PortError as error:
            self._lose_port(session, error)

    def _at_safe_point(self, free_for_s: float) -> None:
        """In the midst of a job: carry out the writes that were ordered meanwhile, and look at those before."""
        self._is_at_safe_point = True
        try:
            while self._slips:
                self._carry_out(self._slips.pop(0))
            if self._writing is not None:
                self._writing.look_if_due(free_for_s)
        finally:
            self._is_at_safe_point = False

    def _change_port(self, command: OpenPort | ClosePort) -> None:
        self._refuse_while_busy()
        self._close_session()
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
        self._writing = SessionWriting(self._session, self._counted_now_s, self._outbox.put)
        if held.simulated is not None:
            self._outbox.put(HandsOffered(held.simulated.devices))

    def _close_session(self) -> None:
        if self._writing is not None:
            self._writing.finish()
        if self._session is not None:
            self._session.close()
        self._session = self._writing = None

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
            self._later[:0], self._slips = self._slips, []
            self._stop.renew()
        session.keep(JobEnded(number, job.name, end, sentence, session.clock.now_s()))

    def _drive(self, job: EngineJob, session: Session) -> tuple[JobEndKind, str]:
        """Run to the end, over as many losses of the port as there are."""
        while session.asker is not None:
            try:
                for event in job.run(AskedLine(session.asker, session.evidence)):
                    if isinstance(event, SafePoint):
                        self._at_safe_point(event.free_for_s)
                    else:
                        session.keep(event)
                return JobEndKind.FINISHED, ""
            except Stopped:
                return JobEndKind.STOPPED, "stopped by the user; what was found so far stands"
            except GuardRefusal as refusal:
                return JobEndKind.FAILED, refusal.sentence
            except PortError as error:
                if error.problem is not PortProblem.VANISHED:
                    return JobEndKind.FAILED, error.sentence
                if not self._lose_port(session, error):
                    return JobEndKind.PORT_LOST, error.sentence
        return JobEndKind.PORT_LOST, NO_PORT
