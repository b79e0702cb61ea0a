"""The session of a command in its record: kept as the window keeps its own, and said once at the end."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from types import TracebackType

from buswalk.bus.keeping import AskingRights, Keeping, KeepingEnds, session_started
from buswalk.bus.parts import HeldLine
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.output import Output, clear_progress
from buswalk.cli.parts import Failed, NamedFile, NoRecord, OutputLost, Parts, RecordChoice, UsualPlace
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.protocols import Line
from buswalk.domain.line_events import EventSink
from buswalk.domain.registers.writing.earlier_writes import EarlierWrites
from buswalk.domain.visit.recorder import OpenedRecord, RecordProblem, RecordState
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, SessionStarted
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_guard import NO_CONSENT, Consents, GuardRefusal

ONLY_JOB = 1
STOPPED_WORDS = "stopped by the user; what was found so far stands"


@dataclass(frozen=True, slots=True)
class Recorded:
    """Where the session is recorded.

    Attributes:
        path: The file; empty where there is none.
        exchanges: Kept in this file so far, of all its sessions.
        problem: Why not everything is in it; empty if all is.
    """

    path: str
    exchanges: int
    is_simulated: bool
    problem: str


class CommandSession:
    """One command on its line, as one job. Entered, it has begun in the record; left, it is ended there and said.

    Raises:
        Failed: It is to be recorded in a file that cannot be; the line is given back and nothing was sent.
    """

    def __init__(self, job: str, choice: RecordChoice, held: HeldLine, parts: Parts, output: Output) -> None:
        self._job = job
        self._choice = choice
        self._held = held
        self._parts = parts
        self._output = output
        recording = parts.recording
        self._started = session_started(
            held.simulated, recording.wall_words(recording.wall_now_s() - held.clock.now_s()), recording.program
        )
        self._opened = self._opened_record(self._started)
        self._told_problem = ""
        ends = KeepingEnds(lambda _: None, self._tell, recording.wall_now_s)
        self.keeping = Keeping(self._opened.recorder, held.clock, ends)

    def _opened_record(self, started: SessionStarted) -> OpenedRecord:
        try:
            return self._parts.recording.open(self._choice, self._held, started)
        except RecordProblem as problem:
            self._held.line.close()
            raise Failed(f"not begun: {problem.sentence}", ExitStatus.CANNOT_RECORD) from problem

    def __enter__(self) -> CommandSession:
        held, opened = self._held, self._opened
        self._say(*opened.notices)
        self.keeping.begin(self._started, opened.notices)
        self.keeping.port_opened(held, held.line.traits)
        self.keeping.plan(held.planned or opened.planned)
        self.keeping.keep(JobStarted(ONLY_JOB, self._job, held.clock.now_s()))
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if isinstance(error, PortError) and error.problem is PortProblem.VANISHED:
            self.keeping.port_failed(error.port, error.sentence)
        end, sentence = _end_of(error)
        self.keeping.keep(JobEnded(ONLY_JOB, self._job, end, sentence, self._held.clock.now_s()))
        self._held.line.close()
        self.keeping.port_closed(self._held.port)
        self.keeping.close()
        if not isinstance(error, BrokenPipeError):
            self._say_where(can_write=not isinstance(error, OutputLost))

    @property
    def earlier(self) -> EarlierWrites:
        """What the sessions before this one wrote."""
        return self._opened.earlier

    @property
    def known_addresses(self) -> tuple[int, ...]:
        """Devices of this line that are planned, or that a search of this record found."""
        planned = self._held.planned or self._opened.planned
        return tuple(sorted({one.server_address for one in planned} | set(self._opened.found)))

    def keep(self, event: object) -> None:
        """Record an event; to be called before it is shown."""
        self.keeping.keep(event)
        self.keeping.settle_if_due()

    def asker_on(self, line: Line, sink: EventSink, consents: Consents = NO_CONSENT) -> Asker:
        """Return an asker whose events are kept, then handed to the sink, its exchanges numbered on from the record."""
        return self.keeping.asker_on(line, sink, AskingRights(self._parts.stop, consents))

    def clock_words(self, at_s: float) -> str:
        """Return a line time as a clock on the wall had it, in hours, minutes and seconds."""
        began = datetime.fromisoformat(self._started.wall_time)
        return f"{began + timedelta(seconds=at_s):%H:%M:%S}"

    def wall_time(self, at_s: float) -> str:
        """Return a line time as a clock on the wall had it, with its date and to the millisecond."""
        began = datetime.fromisoformat(self._started.wall_time)
        return (began + timedelta(seconds=at_s)).isoformat(sep=" ", timespec="milliseconds")

    def status(self, reached: ExitStatus) -> ExitStatus:
        """Return the exit status of a command that came so far: who asked for a file is told if it is not whole."""
        is_broken = isinstance(self._choice, NamedFile) and self.keeping.record.problem
        return ExitStatus.CANNOT_RECORD if is_broken else reached

    def _tell(self, state: RecordState) -> None:
        if state.problem and state.problem != self._told_problem:
            self._told_problem = state.problem
            self._say(state.problem)

    def _say_where(self, *, can_write: bool) -> None:
        state = self.keeping.record
        if state.path:
            self._say(where_words(state, self._choice))
        if can_write and not isinstance(self._choice, NoRecord):
            self._output.event(Recorded(state.path, state.exchanges, state.is_simulated, state.problem))

    def _say(self, *sentences: str) -> None:
        if sentences:
            clear_progress(self._parts.err)
            self._parts.err.write("".join(f"{one}\n" for one in sentences))


def where_words(state: RecordState, choice: RecordChoice) -> str:
    """Return in which file it is, and what may happen to it."""
    if state.problem:
        return f"recorded in {state.path}, but not to the end"
    if state.is_simulated and isinstance(choice, UsualPlace):
        return f"recorded in {state.path} (a simulated line: cleared at the next start of the window)"
    return f"recorded in {state.path}"


def _end_of(error: BaseException | None) -> tuple[JobEndKind, str]:
    match error:
        case None:
            return JobEndKind.FINISHED, ""
        case Stopped() | KeyboardInterrupt() | Failed(status=ExitStatus.INTERRUPTED):
            return JobEndKind.STOPPED, STOPPED_WORDS
        case PortError(problem=PortProblem.VANISHED) | Failed(status=ExitStatus.NO_LINE):
            return JobEndKind.PORT_LOST, error.sentence
        case PortError() | Failed() | GuardRefusal():
            return JobEndKind.FAILED, error.sentence
        case BrokenPipeError():
            return JobEndKind.STOPPED, "who read the output had seen enough"
        case _:
            return JobEndKind.FAILED, "a mistake in the program itself"
