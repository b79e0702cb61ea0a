"""`find`: which addresses and settings answer."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from pathlib import Path

from buswalk.bus.job_runner import Finished, JobEnd, PortLost, StoppedByUser, run_job
from buswalk.bus.lasting_search import LastingSearchEvent, PortBack, PortGone, SearchLine, lasting_search
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.find_words import event_lines, port_lines, progress_words, stays_away_words, try_next_words
from buswalk.cli.number_options import SecondsOption
from buswalk.cli.options import add_line_options, addresses_of, port_choice, record_choice, settings_list
from buswalk.cli.output import PROGRESS_COLUMNS, Output, clear_progress
from buswalk.cli.parts import BoardParts, Failed, Parts, WrongUse
from buswalk.cli.recording import CommandSession
from buswalk.cli.timer_telling import TimerTelling, described_devices
from buswalk.domain.line.protocols import Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import EventSink
from buswalk.domain.registers.fingerprint import known_types
from buswalk.domain.search.events import (
    AnswersEverywhere,
    Depth,
    Found,
    SearchEnd,
    SearchEnded,
    SearchPlan,
    SearchProgress,
)
from buswalk.domain.search.next_search import next_search
from buswalk.domain.search.plan_cost import CostRates
from buswalk.domain.search.prior import asked_as, usual_settings
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.mistaken_addresses import mistaken_addresses
from buswalk.jobs.asking.asker import Asker

WORDS = "find which addresses and settings answer"
LISTEN_S = 10.0
LONGEST_WAIT_S = 60.0
SHORTEST_WAIT_S = 0.001
LONGEST_PORT_RETURN_S = 86_400.0


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    parser.add_argument("--addresses", default="1-247", help="such as 1-40,56; all if not given")
    parser.add_argument("--settings", default="", help="such as '9600 8N1,19200 8E1'; the usual ones if not given")
    parser.add_argument(
        "--planned",
        default="",
        help="addresses of the plan, asked first; one that stays silent makes the exit status 1",
    )
    parser.add_argument(
        "--plan",
        default="",
        metavar="FILE",
        help="the planned list (.csv, .xlsx) in place of --planned: where its switch boards are named, addresses that"
        " mistakes at them lead to are asked early",
    )
    parser.add_argument(
        "--wait",
        type=SecondsOption("--wait", SHORTEST_WAIT_S, LONGEST_WAIT_S),
        default=0.060,
        help="wait for a first byte in seconds, 0.06 if not given",
    )
    parser.add_argument(
        "--thorough",
        action="store_true",
        help="speed by speed, each framing by itself, in passes that also find slow and fussy devices: takes long",
    )
    parser.add_argument("--alone", action="store_true", help="the device is alone on a lead: do not listen first")
    parser.add_argument(
        "--live-line",
        action="store_true",
        help="ask though another client is alive, between its cycles: exchanges may be spoilt, devices may trip",
    )
    parser.add_argument(
        "--device",
        action="append",
        default=[],
        metavar="ADDRESS=PROFILE",
        help="a device that is known to be there, by its profile, such as 31=fan-drive: before the line of another "
        "client is asked its loss timer is named, and counted while nobody asks it; may be given several times",
    )
    parser.add_argument(
        "--port-return",
        type=SecondsOption("--port-return", 0.0, LONGEST_PORT_RETURN_S),
        default=60.0,
        help="seconds to wait for a lost port, 60 if not given",
    )


@dataclass(slots=True)
class _Result:
    """What the search has come to so far."""

    found: set[int] = field(default_factory=set)
    found_at: set[SerialSettings] = field(default_factory=set)
    answers_everywhere: bool = False
    end: SearchEnd | None = None


@dataclass(frozen=True, slots=True)
class PlannedSilent:
    """Planned addresses at which nothing answered."""

    addresses: tuple[int, ...]


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Search; done if at least one device answers, and of the planned ones none is silent."""
    output = Output(parts.out, is_json=arguments.json)
    plan = replace(plan_of(arguments, parts.boards), known_types=known_types(parts.profiles.read().profiles))
    described = described_devices(arguments.device, parts)
    first = next(iter(plan.settings))
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, first))
    result = _Result()
    with CommandSession("search", choice, held, parts, output) as session:
        output.started("find", arguments.port)
        timers = TimerTelling(arguments, parts, output, held)
        timers.keep_with(session.keep)
        if planned := _planned_devices(arguments, parts.boards):
            timers.book.plan(planned)
        for address, profile in described.items():
            timers.book.is_described_by(address, profile)

        def asker_on(line: Line, sink: EventSink) -> Asker:
            return session.asker_on(timers.line(line), timers.sink(sink))

        given = SearchLine(held.line, held.clock, lambda: held.open_again(first), arguments.port_return, asker_on)
        show = _shower(output, parts, result, held.port, timers)
        traits = held.line.traits
        with closing(lasting_search(given, plan, parts.stop)) as job:
            end = run_job(_kept(job, session, held.port), timers.beside(show))
        _require_finished(end, result, arguments.port_return)
        status = _status(output, plan, result)
        following = next_search(plan, result.found_at, CostRates.of(traits))
        if result.end is SearchEnd.ALL_ASKED and following is not None:
            output.text(try_next_words(following))
    return session.status(status)


def _kept(job: Iterator[LastingSearchEvent], session: CommandSession, port: str) -> Iterator[LastingSearchEvent]:
    """Yield the events of a search once each is in the record."""
    for event in job:
        match event:
            case PortGone(sentence=sentence):
                session.keeping.port_failed(port, sentence)
            case PortBack(after_s=after_s):
                session.keeping.port_returned(port, after_s)
            case _:
                session.keep(event)
        yield event


def _require_finished(end: JobEnd, result: _Result, port_return_s: float) -> None:
    """Raise Failed for a search that was ended."""
    match end:
        case StoppedByUser():
            raise Failed(f"stopped; found so far: {len(result.found)}", ExitStatus.INTERRUPTED)
        case PortLost(sentence=sentence):
            raise Failed(stays_away_words(sentence, port_return_s, len(result.found)), ExitStatus.NO_LINE)
        case Finished():
            return


def _status(output: Output, plan: SearchPlan, result: _Result) -> ExitStatus:
    if result.end is not SearchEnd.ALL_ASKED:
        return ExitStatus.NOT_FOUND
    silent = () if result.answers_everywhere else tuple(sorted(plan.planned - result.found))
    if silent:
        output.event(PlannedSilent(silent))
        output.text(f"planned, but silent: {', '.join(map(str, silent))}")
    found_any = bool(result.found) or result.answers_everywhere
    return ExitStatus.DONE if found_any and not silent else ExitStatus.NOT_FOUND


def plan_of(arguments: argparse.Namespace, boards: BoardParts) -> SearchPlan:
    """Return the plan that the options describe.

    Raises:
        WrongUse: They describe none.
    """
    usual = usual_settings()
    settings = usual
    if arguments.settings:
        asked = [asked_as(one) for one in settings_list(arguments.settings)]
        settings = {one: usual.get(one, min(usual.values())) for one in asked}
    addresses = addresses_of("--addresses", arguments.addresses)
    devices = _planned_devices(arguments, boards)
    planned = addresses_of("--planned", arguments.planned) if arguments.planned else ()
    planned = planned or tuple(one.server_address for one in devices)
    outside = [str(one) for one in planned if one not in addresses]
    if outside:
        option = "--plan" if devices else "--planned"
        raise WrongUse(f"{option} {', '.join(outside)} is not among --addresses: it would never be asked; add it there")
    return SearchPlan(
        addresses=addresses,
        settings=settings,
        planned=frozenset(planned),
        mistaken=mistaken_addresses(devices, boards.read()) if devices else (),
        wait_s=arguments.wait,
        listen_s=0.0 if arguments.alone else LISTEN_S,
        may_probe_living_line=arguments.live_line,
        depth=Depth.THOROUGH if arguments.thorough else Depth.QUICK,
    )


def _planned_devices(arguments: argparse.Namespace, boards: BoardParts) -> tuple[PlannedDevice, ...]:
    if not arguments.plan:
        return ()
    if arguments.planned:
        raise WrongUse("--plan FILE and --planned LIST both say what is planned: give one of them")
    read = boards.read_plan(Path(arguments.plan))
    if not read.devices:
        raise WrongUse(f"--plan {arguments.plan} names no device with an address", *read.troubles)
    return read.devices


def _shower(
    output: Output, parts: Parts, result: _Result, port: str, timers: TimerTelling
) -> Callable[[LastingSearchEvent], None]:
    shows_progress = parts.err.isatty() and not output.is_json

    def show(event: LastingSearchEvent) -> None:
        output.event(event)
        if shows_progress:
            clear_progress(parts.err)
        match event:
            case Found():
                result.found.add(event.server_address)
                result.found_at.add(asked_as(event.settings))
            case AnswersEverywhere():
                result.answers_everywhere = True
            case SearchEnded(end=end):
                result.end = end
            case SearchProgress():
                if shows_progress:
                    words = timers.progress_words() + progress_words(event, len(result.found))
                    parts.err.write(words[:PROGRESS_COLUMNS])
                    parts.err.flush()
                return
            case PortGone() | PortBack():
                parts.err.write("".join(f"{line}\n" for line in port_lines(event, port)))
                return
            case _:
                pass
        output.text(*event_lines(event))

    return show
