"""`faults --live`: watches a line, says what is not clean as it happens, and counts at the end as for a record."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from math import inf

from buswalk.bus.job_runner import Finished, JobEnd, PortLost, StoppedByUser, run_job
from buswalk.bus.keeping import session_started
from buswalk.bus.parts import HeldLine
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.fault_filter_options import has_filter
from buswalk.cli.fault_saying import say_claims, say_devices, say_table
from buswalk.cli.fault_words import Sessions, abnormal_line, watch_lines
from buswalk.cli.number_options import ChoiceOption, SecondsOption, WholeOption
from buswalk.cli.options import addresses_of, port_choice, record_choice, rtu_settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.recording import CommandSession
from buswalk.cli.timer_telling import TimerTelling
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, LateReply, LineEvent
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.record_reader import NotEnded, RecordedExchange, RecordedSession
from buswalk.domain.search.events import LivingLine
from buswalk.domain.statistics.claim import trials_needed
from buswalk.domain.statistics.device_quality import is_clean, is_trial
from buswalk.domain.statistics.fault_report import FaultReport, FaultWish
from buswalk.domain.statistics.live_faults import LIVE_SESSION, LiveFaultCounter
from buswalk.domain.watching.events import WatchEvent
from buswalk.domain.watching.plan import LEAST_SHARE, LONGEST_PERIOD_S, WatchedDevice, WatchPlan
from buswalk.domain.watching.waits import FIRST_WAIT_S, WAIT_RULE, Waits
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.watching import Watch

FUNCTIONS = ("03", "04")
LISTEN_S = 10.0
LONGEST_S = 30 * 86_400.0


def add_watch_options(parser: argparse.ArgumentParser) -> None:
    """Add whom to ask, with what, how often and for how long."""
    group = parser.add_argument_group("with --live")
    group.add_argument(
        "--function",
        type=ChoiceOption("--function", FUNCTIONS),
        default=FUNCTIONS[0],
        metavar="{" + ",".join(FUNCTIONS) + "}",
        help="the read that each device is known to answer, 03 if not given; a refusal is an answer",
    )
    group.add_argument(
        "--register", type=WholeOption("--register", 0, 0xFFFF), default=0, help="the register read, 0 if not given"
    )
    group.add_argument(
        "--timeout",
        type=SecondsOption("--timeout", 0.001, 60.0),
        help=f"in seconds, the same for all; not given: {WAIT_RULE}",
    )
    group.add_argument(
        "--pause", type=SecondsOption("--pause", 0.0, 60.0), default=0.0, help="least silence before each request"
    )
    group.add_argument(
        "--period",
        type=SecondsOption("--period", 0.0, LONGEST_PERIOD_S),
        default=0.0,
        help="ask no device more often than this, in seconds; not given: as often as it goes",
    )
    group.add_argument(
        "--line-percent",
        type=WholeOption("--line-percent", round(LEAST_SHARE * 100), 100),
        default=100,
        help="take no more of the line's time than this, in percent; 100 if not given",
    )
    group.add_argument(
        "--seconds",
        type=SecondsOption("--seconds", 1.0, LONGEST_S),
        default=inf,
        help="how long; not given: until Ctrl-C, or until what --accept says is proved",
    )
    group.add_argument("--alone", action="store_true", help="nobody else asks on this line: do not listen first")
    group.add_argument(
        "--live-line",
        action="store_true",
        help="ask though another client is alive: its exchanges may be spoilt, and devices may trip",
    )


def run_live(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Watch; not found where a claim is not proved, nobody answers, or another client is alive."""
    output = Output(parts.out, is_json=arguments.json)
    settings = rtu_settings_of(arguments.baud, arguments.framing)
    plan = _plan_of(arguments, settings)
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, settings))
    with CommandSession("watch", choice, held, parts, output) as session:
        output.started("faults", arguments.port)
        live = _Live(output, _sessions(held, parts), arguments.accept, len(plan.devices))
        timers = TimerTelling(arguments, parts, output, held)
        timers.keep_with(session.keep)
        asker = session.asker_on(timers.line(held.line), timers.sink(live.take))
        until_s = held.clock.now_s() + arguments.seconds
        watch = Watch(asker, live.evidence, plan, lambda: held.clock.now_s() >= until_s or live.is_proved())
        end = run_job(_kept(watch.run(), session), timers.beside(live.show))
        timers.say_left_alone()
        report = live.finish()
        is_proved = say_claims(output, report, arguments.accept)
        _require_end(end, arguments)
        status = _status(report, live, is_proved=is_proved)
    return session.status(status)


def _plan_of(arguments: argparse.Namespace, settings: SerialSettings) -> WatchPlan:
    if not arguments.port or not arguments.address:
        raise WrongUse("--live needs --port and --address: which line, and whom to ask, such as 11-14,56")
    if arguments.file or has_filter(arguments):
        raise WrongUse("--live watches a line: leave out RECORD and its filters, and count the new record afterwards")
    read = ReadHoldingRegisters if arguments.function == FUNCTIONS[0] else ReadInputRegisters
    request = read(arguments.register, 1)
    waits = Waits.BY_TURNAROUND if arguments.timeout is None else Waits.AS_TOLD
    wait_s = arguments.timeout or FIRST_WAIT_S
    return WatchPlan(
        tuple(
            WatchedDevice(one, settings, request, wait_s, arguments.pause, waits=waits)
            for one in addresses_of("--address", arguments.address)
        ),
        arguments.period,
        arguments.line_percent / 100.0,
        listen_s=0.0 if arguments.alone else LISTEN_S,
        may_ask_living_line=arguments.live_line,
    )


def _sessions(held: HeldLine, parts: Parts) -> Sessions:
    recording = parts.recording
    begun = recording.wall_words(recording.wall_now_s() - held.clock.now_s())
    started = session_started(held.simulated, begun, recording.program)
    return {LIVE_SESSION: RecordedSession(LIVE_SESSION, started, NotEnded(), 0)}


def _kept(job: Iterator[WatchEvent], session: CommandSession) -> Iterator[WatchEvent]:
    """Yield the events of a watch once each is in the record."""
    for event in job:
        session.keep(event)
        yield event


class _Live:
    """What a watch has come to so far."""

    def __init__(self, output: Output, sessions: Sessions, accept: float | None, devices: int) -> None:
        self._output = output
        self._sessions = sessions
        self._accept = accept
        self._devices = devices
        self._counter = LiveFaultCounter(FaultWish(keep=0))
        self._needed: dict[int, int] = {}
        self.evidence = Evidence()
        self.is_living = False

    def take(self, event: LineEvent) -> None:
        """Count a line event, and say what is not clean."""
        self.evidence(event)
        self._counter.take(event)
        match event:
            case ExchangeDone(exchange) if is_trial(exchange) and not is_clean(exchange):
                self._output.event(event)
                recorded = RecordedExchange(0, LIVE_SESSION, 0, exchange, ())
                self._output.text(abnormal_line(recorded, self._sessions))
            case LateReply():
                self._output.event(event)
            case _:
                pass

    def show(self, event: WatchEvent) -> None:
        """Say an event of the watch."""
        self.is_living = self.is_living or isinstance(event, LivingLine)
        self._output.event(event)
        self._output.text(*watch_lines(event, self._sessions))

    def is_proved(self) -> bool:
        """Tell whether the claim is proved of every device."""
        if self._accept is None:
            return False
        rows = self._counter.rows()
        return len(rows) == self._devices and all(one.trials >= self._needed_for(one.not_clean) for one in rows)

    def _needed_for(self, not_clean: int) -> int:
        if not_clean not in self._needed:
            assert self._accept is not None
            self._needed[not_clean] = trials_needed(self._accept, not_clean)
        return self._needed[not_clean]

    def finish(self) -> FaultReport:
        """Count to the end, and say it."""
        report = self._counter.finish()
        say_table(self._output, report)
        say_devices(self._output, report, self._sessions)
        return report


def _require_end(end: JobEnd, arguments: argparse.Namespace) -> None:
    """Raise Failed for a watch that was ended before its time; without one, a stop is its end."""
    match end:
        case StoppedByUser() if arguments.seconds < inf:
            raise Failed("stopped before its time; what was counted so far stands above", ExitStatus.INTERRUPTED)
        case PortLost(sentence=sentence):
            raise Failed(f"{sentence}; what was counted so far stands above", ExitStatus.NO_LINE)
        case StoppedByUser() | Finished():
            return


def _status(report: FaultReport, live: _Live, *, is_proved: bool) -> ExitStatus:
    answered = any(one.row.answered + one.row.refused + one.row.late for one in report.devices)
    return ExitStatus.DONE if answered and is_proved and not live.is_living else ExitStatus.NOT_FOUND
