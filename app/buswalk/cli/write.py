"""`write`: one value, behind the same guards as in the window: old value, caution, confirmation, read-backs, undo."""

from __future__ import annotations

import argparse

from buswalk.cli.ask import LONGEST_S, SHORTEST_TIMEOUT_S
from buswalk.cli.confirming import add_confirming_options, require_living_allowed
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.guarded_writing import GuardedWriting, can_be_put_back
from buswalk.cli.number_options import SecondsOption, WholeOption
from buswalk.cli.options import add_line_options, add_settings_options, port_choice, record_choice, rtu_settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.cli.recording import CommandSession
from buswalk.cli.timer_telling import TimerTelling
from buswalk.cli.write_target import add_target_options, intended_of
from buswalk.domain.registers.writing.checks import problems_of

WORDS = "write one value, read it back, perhaps put the old one back"


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    address = WholeOption("--address", 0, 247, "0 goes to all devices at once")
    parser.add_argument("--address", type=address, required=True, help="server address, 1 to 247; 0 is all devices")
    parser.add_argument("value", help="the new value, such as 21.5, on, or words such as 0x41AC,0x0000")
    add_timing_options(parser)
    parser.add_argument(
        "--put-back",
        action="store_true",
        help="put the old value back behind the last look, if what stands there is still ours",
    )
    add_target_options(parser)
    add_confirming_options(parser, "the new value as you wrote it")


def add_timing_options(parser: argparse.ArgumentParser) -> None:
    """Add how long is waited for a reply, and before a request."""
    timeout = SecondsOption("--timeout", SHORTEST_TIMEOUT_S, LONGEST_S)
    parser.add_argument("--timeout", type=timeout, default=1.0, help="response time-out in seconds, 1 if not given")
    pause = SecondsOption("--pause", 0.0, LONGEST_S)
    parser.add_argument("--pause", type=pause, default=0.0, help="least silence before each request, in seconds")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Write; done if it holds (and, where asked for, the old value stands there again)."""
    output = Output(parts.out, is_json=arguments.json)
    settings = rtu_settings_of(arguments.baud, arguments.framing)
    intended = intended_of(arguments, settings, parts.profiles)
    problems = problems_of(intended)
    if problems:
        raise WrongUse(*problems)
    if arguments.put_back and not can_be_put_back(intended):
        raise WrongUse("--put-back cannot be: what is sent to all devices, or starts something, is not put back")
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, settings))
    with CommandSession("write", choice, held, parts, output) as session:
        output.started("write", arguments.port)
        timers = TimerTelling(arguments, parts, output, held)
        timers.keep_with(session.keep)
        asker = session.asker_on(timers.line(held.line), timers.sink(lambda _event: None))
        require_living_allowed(asker, arguments, output, timers)
        writing = GuardedWriting(arguments, parts, session, output, asker)
        is_done = writing.write(intended, arguments.value)
        if arguments.put_back:
            is_done = writing.put_own_back() and is_done
    return session.status(ExitStatus.DONE if is_done else ExitStatus.NOT_FOUND)
