"""`find`: which addresses and settings answer."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass, replace

from buswalk.bus.job_runner import StoppableClock, StoppableLine
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.find_words import event_lines, progress_words
from buswalk.cli.options import add_line_options, addresses_of, settings_list
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, ReadyLine, WrongUse
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.search.events import (
    AnswersEverywhere,
    Found,
    SearchEnd,
    SearchEnded,
    SearchEvent,
    SearchPlan,
    SearchProgress,
)
from buswalk.domain.search.prior import asked_as, usual_settings
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import LISTENING_SETTINGS, Search

WORDS = "find which addresses and settings answer"
LISTEN_S = 10.0
LOOK_FOR_PORT_EVERY_S = 0.5


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    parser.add_argument("--addresses", default="1-247", help="such as 1-40,56; all if not given")
    parser.add_argument("--settings", default="", help="such as '9600 8N1,19200 8E1'; the usual ones if not given")
    parser.add_argument("--planned", default="", help="addresses of the plan, asked first")
    parser.add_argument("--wait", type=float, default=0.060, help="wait for a first byte in seconds, 0.06 if not given")
    parser.add_argument("--alone", action="store_true", help="the device is alone on a lead: do not listen first")
    parser.add_argument(
        "--live-line",
        action="store_true",
        help="ask though another client is alive: its exchanges may be spoilt, and devices may trip",
    )
    parser.add_argument("--port-return", type=float, default=60.0, help="seconds to wait for a lost port, 60")


@dataclass(slots=True)
class _Result:
    """What the search has come to so far."""

    found: int = 0
    answers_everywhere: bool = False
    end: SearchEnd | None = None


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Search; done if at least one device answers."""
    output = Output(parts.out, is_json=arguments.json)
    plan = plan_of(arguments)
    first = next(iter(plan.settings))
    ready = parts.open_line(arguments.port, first, is_virtual=arguments.clock == "virtual")
    output.started("find", arguments.port)
    result = _Result()
    try:
        while True:
            search_job, problem = _search(ready, plan, parts, _shower(output, parts, result))
            if problem is None:
                break
            parts.err.write(f"{problem.sentence}; what was found so far stands, waiting for it to come back\n")
            output.failed(problem.sentence)
            back = _wait_for_return(ready, arguments.port_return, parts)
            if back is None:
                return ExitStatus.NO_LINE
            parts.err.write(f"{ready.port} is back: the search goes on\n")
            ready = back
            plan = replace(plan, memory=search_job.memory, listen_s=0.0)
    finally:
        ready.line.close()
    found_any = result.found > 0 or result.answers_everywhere
    return ExitStatus.DONE if found_any and result.end is SearchEnd.ALL_ASKED else ExitStatus.NOT_FOUND


def plan_of(arguments: argparse.Namespace) -> SearchPlan:
    """Return the plan that the options describe.

    Raises:
        WrongUse: They describe none.
    """
    settings = usual_settings()
    if arguments.settings:
        usual = usual_settings()
        asked = [asked_as(one) for one in settings_list(arguments.settings)]
        settings = {one: usual.get(one, min(usual.values())) for one in asked}
    if arguments.wait <= 0:
        raise WrongUse(f"a wait of {arguments.wait:g} s cannot be: write a time above 0")
    return SearchPlan(
        addresses=addresses_of(arguments.addresses),
        settings=settings,
        planned=frozenset(addresses_of(arguments.planned)) if arguments.planned else frozenset(),
        wait_s=arguments.wait,
        listen_s=0.0 if arguments.alone else LISTEN_S,
        may_probe_living_line=arguments.live_line,
    )


def _search(
    ready: ReadyLine, plan: SearchPlan, parts: Parts, show: Callable[[SearchEvent], None]
) -> tuple[Search, PortError | None]:
    """Run until the end or until the port is lost."""
    evidence = Evidence()
    clock = StoppableClock(ready.clock, parts.stop)
    asker = Asker(StoppableLine(ready.line, ready.clock, parts.stop), clock, evidence)
    job = Search(asker, evidence, plan)
    try:
        for event in job.run():
            show(event)
    except PortError as error:
        if error.problem is not PortProblem.VANISHED:
            raise
        return job, error
    return job, None


def _shower(output: Output, parts: Parts, result: _Result) -> Callable[[SearchEvent], None]:
    shows_progress = parts.err.isatty()

    def show(event: SearchEvent) -> None:
        match event:
            case Found():
                result.found += 1
            case AnswersEverywhere():
                result.answers_everywhere = True
            case SearchEnded(end=end):
                result.end = end
            case SearchProgress() if shows_progress:
                parts.err.write(f"\r{progress_words(event, result.found)}   \r")
            case _:
                pass
        output.event(event)
        output.text(*event_lines(event))

    return show


def _wait_for_return(lost: ReadyLine, within_s: float, parts: Parts) -> ReadyLine | None:
    """Try again and again until the port is back; None if it stays away."""
    lost.line.close()
    clock = StoppableClock(lost.clock, parts.stop)
    give_up_s = lost.clock.now_s() + within_s
    while lost.clock.now_s() < give_up_s:
        clock.sleep_until(min(give_up_s, lost.clock.now_s() + LOOK_FOR_PORT_EVERY_S))
        try:
            return parts.reopen_line(lost, LISTENING_SETTINGS)
        except PortError:
            continue
    return None
