"""Carries out commands, one job at a time, in one thread. What it does is kept, then shown."""

from __future__ import annotations

import queue
from collections.abc import Callable
from dataclasses import replace

from buswalk.bus.cannot_do import NO_PORT, CannotDo
from buswalk.bus.engine_hands import use_simulated
from buswalk.bus.engine_jobs import AskedLine, EngineJob, LearnJob, LookForMovedJob, ReaddressJob, SearchJob
from buswalk.bus.engine_marks import mark_event
from buswalk.bus.engine_port import LOOK_EVERY_S, EnginePort
from buswalk.bus.job_commands import BeginsJob, job_of
from buswalk.bus.looking_stop import LookingStop
from buswalk.bus.messages import (
    ClosePort,
    Command,
    Done,
    EditMark,
    EndMark,
    EndProcess,
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
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, PlanKept
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_guard import GuardRefusal
from buswalk.jobs.safe_point import SafePoint

NEEDS_THE_LINE = OpenPort | ClosePort | BeginsJob | WriteCommand
"""Commands that are not carried out in the midst of anything else on the line."""


class Engine:
    """Takes commands from other threads, and does them in one."""

    def __init__(self, parts: EngineParts, outbox: Outbox, counted_now_s: Callable[[], float]) -> None:
        self._parts = parts
        self._outbox = outbox
        self._commands: queue.SimpleQueue[NumberedCommand] = queue.SimpleQueue()
        self._later: list[NumberedCommand] = []
        self._slips: list[NumberedCommand] = []
        self._stop = LookingStop(self._look)
        self._port = EnginePort(parts, outbox, self._stop, counted_now_s)
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
            if self._is_orphan:
                self._port.abandon()
            else:
                self._port.close()

    def _idle(self) -> None:
        command = self._next(0.0 if self._port.listens_between_jobs else LOOK_EVERY_S)
        if command is not None:
            self._carry_out(command)
        else:
            self._mind(self._port.listen_on)
        self._mind(self._port.look_at_writes)
        self._port.settle_if_due()
        self._port.look_at_clocks()

    def _mind(self, the_line: Callable[[], None]) -> None:
        """Do this between jobs: a stop ends it, and a port that is lost is waited for until something else is to do."""
        try:
            try:
                the_line()
            except PortError as error:
                self._port.lose(error)
                while not self._is_ended and not self._port.wait_for_return():
                    pass
        except Stopped:
            self._stop.renew()

    def _next(self, wait_s: float) -> NumberedCommand | None:
        if self._later:
            return self._later.pop(0)
        try:
            return self._commands.get(block=wait_s > 0, timeout=wait_s or None)
        except queue.Empty:
            return None

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
        self._port.look_at_clocks()

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
                session = self._port.any_session()
                session.keep(mark_event(command, session.recorder, session.clock.now_s()))
            case KeepPlan(devices):
                session = self._port.any_session()
                session.keep(PlanKept(devices, session.clock.now_s()))
            case UseHand() | SetFactor():
                use_simulated(command, self._port.any_session())
            case SaveRecordAs(name):
                session = self._port.any_session()
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
                writing = self._port.any_writing()
                writing.require_open()
                self._run(ReaddressJob(writing.lock, readdress_plan))
            case LookForMoved(written_plan):
                self._run(LookForMovedJob(self._port.any_writing().lock, written_plan))
            case UnlockWriting(reason):
                self._port.any_writing().unlock(reason)
            case LockWriting():
                self._port.any_writing().shut(LockedBecause.USER)
            case WriteValue() | PutBack() | PutBackPlace() | SendFrame():
                self._write(command)

    # Writing

    def _write(self, command: WriteCommand) -> None:
        """Carry it out between jobs; during one this is called at its safe points only."""
        if not self._is_at_safe_point:
            self._refuse_while_busy()
        try:
            self._port.any_writing().carry_out(command)
        except Stopped:
            self._stop_was_for_job()

    def _stop_was_for_job(self) -> None:
        """A stop that came during a write was kept until behind its first look: it is for the job, if there is one."""
        self._stop.renew()
        if self._job is not None:
            self._stop.set()

    def _at_safe_point(self, free_for_s: float) -> None:
        """In the midst of a job: carry out the writes that were ordered meanwhile, and look at those before."""
        self._is_at_safe_point = True
        try:
            while self._slips:
                self._carry_out(self._slips.pop(0))
            self._port.any_writing().look_if_due(free_for_s)
        finally:
            self._is_at_safe_point = False

    def _change_port(self, command: OpenPort | ClosePort) -> None:
        self._refuse_while_busy()
        self._port.close()
        if isinstance(command, OpenPort):
            self._memory = SearchMemory()
            self._learnt = {}
            self._port.open(command)

    def _refuse_while_busy(self) -> None:
        if self._job is not None:
            raise CannotDo(f"a job is running ({self._job.name}): stop it first")

    # Jobs

    def _run(self, job: EngineJob) -> None:
        self._refuse_while_busy()
        session = self._port.any_session()
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
                if not self._is_back_after(error):
                    return JobEndKind.PORT_LOST, error.sentence
        return JobEndKind.PORT_LOST, NO_PORT

    def _is_back_after(self, error: PortError) -> bool:
        """In the midst of a job a lost port is waited for once."""
        self._port.lose(error)
        try:
            return not self._is_ended and self._port.wait_for_return()
        except Stopped:
            self._stop.renew()
            return False
