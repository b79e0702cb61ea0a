"""`quiet`: all that answer are asked in turn, so that a plug that is pulled shows who hangs behind it."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from math import inf

from buswalk.bus.job_runner import Finished, JobEnd, PortLost, StoppedByUser, run_job
from buswalk.bus.parts import HeldLine
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import ChoiceOption, SecondsOption
from buswalk.cli.options import (
    add_line_options,
    add_settings_options,
    addresses_of,
    port_choice,
    record_choice,
    rtu_settings_of,
)
from buswalk.cli.output import PROGRESS_COLUMNS, Output, clear_progress
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.quiet_words import end_words, presence_lines, round_words
from buswalk.cli.recording import CommandSession
from buswalk.cli.timer_telling import TimerTelling
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.client_harm import OtherClientSuffers
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.presence.events import CameBack, PresenceBase, PresenceEvent, PresenceRound, WentQuiet
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.search.events import CycleLeavesNoRoom, LivingLine
from buswalk.domain.watching.plan import WatchedDevice
from buswalk.jobs.presence import PresenceWatch
from buswalk.jobs.searching.evidence import Evidence

WORDS = "say who goes quiet when a plug is pulled, and who comes back"
FUNCTIONS = ("03", "04")
LISTEN_S = 10.0
LONGEST_S = 86_400.0


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    parser.add_argument(
        "--address", default="", help="whom to ask, such as 11-14,56; not given: all of the line's planned list"
    )
    parser.add_argument(
        "--function",
        type=ChoiceOption("--function", FUNCTIONS),
        default=FUNCTIONS[0],
        metavar="{" + ",".join(FUNCTIONS) + "}",
        help="the read that each device is asked for, 03 if not given; a refusal is an answer",
    )
    parser.add_argument(
        "--timeout",
        type=SecondsOption("--timeout", 0.001, 10.0),
        default=0.3,
        help="wait for a device that is not known yet, 0.3 s if not given; then it is learnt of each",
    )
    parser.add_argument(
        "--seconds",
        type=SecondsOption("--seconds", 1.0, LONGEST_S),
        default=inf,
        help="how long; not given: until Ctrl-C",
    )
    parser.add_argument("--alone", action="store_true", help="nobody else asks on this line: do not listen first")
    parser.add_argument(
        "--live-line",
        action="store_true",
        help="ask though another client is alive, between its cycles: exchanges may be spoilt, devices may trip",
    )


@dataclass(slots=True)
class _Stand:
    """How it stands so far."""

    base: PresenceBase | None = None
    quiet: dict[int, float] = field(default_factory=dict)
    last: PresenceRound | None = None
    is_living: bool = False

    def take(self, event: PresenceEvent) -> None:
        """Take one event."""
        match event:
            case PresenceBase():
                self.base = event
            case WentQuiet(server_address=address, since_s=since_s):
                self.quiet[address] = since_s
            case CameBack(server_address=address):
                self.quiet.pop(address, None)
            case PresenceRound():
                self.last = event
            case LivingLine() | CycleLeavesNoRoom() | OtherClientSuffers():
                self.is_living = True
            case _:
                pass

    @property
    def status(self) -> ExitStatus:
        """Return whether all that answered at first answer still."""
        is_whole = self.base is not None and self.base.answering and not self.quiet and not self.is_living
        return ExitStatus.DONE if is_whole else ExitStatus.NOT_FOUND


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Watch; not found where somebody is quiet at the end, nobody answers, or another client is alive."""
    output = Output(parts.out, is_json=arguments.json)
    settings = rtu_settings_of(arguments.baud, arguments.framing)
    choice = record_choice(arguments)
    if arguments.address:
        addresses_of("--address", arguments.address)
    held = parts.open_line(port_choice(arguments, settings))
    try:
        plan = _plan_of(arguments, settings, held)
    except WrongUse:
        held.line.close()
        raise
    with CommandSession("who is quiet", choice, held, parts, output) as session:
        output.started("quiet", arguments.port)
        stand, evidence = _Stand(), Evidence()
        until_s = held.clock.now_s() + arguments.seconds
        timers = TimerTelling(arguments, parts, output, held)
        timers.keep_with(session.keep)
        asker = session.asker_on(timers.line(held.line), timers.sink(evidence))
        watch = PresenceWatch(asker, evidence, plan, lambda: held.clock.now_s() >= until_s)
        end = run_job(_kept(watch.run(), session), timers.beside(_shower(output, parts, stand, session)))
        timers.say_left_alone()
        if stand.base is not None:
            output.text(end_words(stand.base, tuple(stand.quiet), stand.last))
        _require_end(end, arguments)
    return session.status(stand.status)


def _plan_of(arguments: argparse.Namespace, settings: SerialSettings, held: HeldLine) -> PresencePlan:
    read = ReadHoldingRegisters if arguments.function == FUNCTIONS[0] else ReadInputRegisters
    planned = {one.server_address: one for one in held.planned}
    asked = addresses_of("--address", arguments.address) if arguments.address else tuple(planned)
    if not asked:
        raise WrongUse("nobody to ask: this line has no planned list, so write --address, such as 11-14,56")
    in_order = sorted(asked, key=lambda one: planned[one].place if one in planned else len(planned) + 1)
    devices = []
    for one in in_order:
        own = planned[one].settings if one in planned else None
        devices.append(WatchedDevice(one, own or settings, read(0, 1), arguments.timeout))
    listen_s = 0.0 if arguments.alone else LISTEN_S
    return PresencePlan(tuple(devices), listen_s=listen_s, may_ask_living_line=arguments.live_line)


def _kept(job: Iterator[PresenceEvent], session: CommandSession) -> Iterator[PresenceEvent]:
    """Yield the events once each is in the record."""
    for event in job:
        session.keep(event)
        yield event


def _shower(output: Output, parts: Parts, stand: _Stand, session: CommandSession) -> Callable[[PresenceEvent], None]:
    shows_progress = parts.err.isatty() and not output.is_json

    def show(event: PresenceEvent) -> None:
        stand.take(event)
        output.event(event)
        if shows_progress:
            clear_progress(parts.err)
        output.text(*presence_lines(event, session.clock_words))
        if shows_progress and isinstance(event, PresenceRound):
            parts.err.write(round_words(event)[:PROGRESS_COLUMNS])
            parts.err.flush()

    return show


def _require_end(end: JobEnd, arguments: argparse.Namespace) -> None:
    """Raise Failed for a watch that was ended before its time; without one, a stop is its end."""
    match end:
        case StoppedByUser() if arguments.seconds < inf:
            raise Failed("stopped before its time; what was seen so far stands above", ExitStatus.INTERRUPTED)
        case PortLost(sentence=sentence):
            raise Failed(f"{sentence}; what was seen so far stands above", ExitStatus.NO_LINE)
        case StoppedByUser() | Finished():
            return
