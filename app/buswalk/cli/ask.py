"""`ask`: one request, and everything that can be said of its answer."""

from __future__ import annotations

import argparse
from dataclasses import fields

from buswalk.cli.exchange_words import exchange_lines
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import BytesOption, HexOption, SecondsOption, WholeOption, WordsOption
from buswalk.cli.options import add_line_options, add_settings_options, port_choice, record_choice, rtu_settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts
from buswalk.cli.recording import CommandSession
from buswalk.cli.request_forms import Given, request_of
from buswalk.domain.line_events import ExchangeDone, LateReply, LineEvent, StrayArrival
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.jobs.asking.asker import AskTiming
from buswalk.jobs.asking.write_guard import confirmed_twice
from buswalk.jobs.asking_once import ask_with_retries

WORDS = "send one request and say everything about its answer"
LONGEST_S = 600.0
SHORTEST_TIMEOUT_S = 0.001
MOST_RETRIES = 1000


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    address = WholeOption("--address", 1, 247, "0 would go to all devices at once, and none may answer")
    parser.add_argument("--address", type=address, required=True, help="server address, 1 to 247")
    parser.add_argument(
        "--function",
        type=HexOption("--function", 0x7F),
        default=0x03,
        help="function code in hex, as the standard writes it: 10 is write multiple registers; 03 if not given",
    )
    parser.add_argument(
        "--timeout",
        type=SecondsOption("--timeout", SHORTEST_TIMEOUT_S, LONGEST_S),
        default=1.0,
        help="response time-out in seconds, 1 if not given",
    )
    parser.add_argument(
        "--pause",
        type=SecondsOption("--pause", 0.0, LONGEST_S),
        default=0.0,
        help="least silence before the request, in seconds",
    )
    parser.add_argument(
        "--retries",
        type=WholeOption("--retries", 0, MOST_RETRIES),
        default=0,
        help="ask again so often while nothing right comes",
    )
    parser.add_argument(
        "--disturb",
        action="store_true",
        help="second confirmation, for what silences or restarts a device or wipes its counters (simulated lines only)",
    )
    _add_request_options(parser.add_argument_group("what is asked, as far as the function takes it"))


def _add_request_options(group: argparse._ArgumentGroup) -> None:
    word, masks = "0 to 65535, as sent (counted from 0)", "such as 00F2"
    group.add_argument(
        "--register",
        type=WholeOption("--register", 0, 0xFFFF),
        help=f"first register or bit, {word}; reads: 0 if left out",
    )
    group.add_argument("--quantity", type=WholeOption("--quantity", 1, 2000), help="how many to read, 1 if not given")
    group.add_argument(
        "--values",
        type=WordsOption("--values"),
        help="what to write, such as 210,0x00FF or on,off; on simulated lines only, real devices are only read",
    )
    group.add_argument(
        "--write-register", type=WholeOption("--write-register", 0, 0xFFFF), help="where function 17 writes"
    )
    group.add_argument("--and-mask", type=HexOption("--and-mask", 0xFFFF), help=f"of function 16, in hex, {masks}")
    group.add_argument("--or-mask", type=HexOption("--or-mask", 0xFFFF), help=f"of function 16, in hex, {masks}")
    group.add_argument(
        "--sub-function", type=HexOption("--sub-function", 0xFFFF), help="of function 08, in hex; 00 if not given"
    )
    group.add_argument("--data", type=BytesOption("--data"), help="of function 08, bytes in hex; 00 00 if not given")
    group.add_argument(
        "--read-code",
        type=HexOption("--read-code", 0xFF),
        help="of function 2B: 01 basic (if not given), 02 regular, 03 extended, 04 one object",
    )
    group.add_argument("--object", type=HexOption("--object", 0xFF), help="of function 2B, in hex; 00 if not given")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Ask; done if it was answered, if only by refusing."""
    output = Output(parts.out, is_json=arguments.json)
    settings = rtu_settings_of(arguments.baud, arguments.framing)
    request = request_of(arguments.function, Given(**{one.name: getattr(arguments, one.name) for one in fields(Given)}))
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, settings))

    def show(event: LineEvent) -> None:
        if isinstance(event, ExchangeDone | StrayArrival | LateReply):
            output.event(event)

    consents = confirmed_twice(held.consents, "--disturb") if arguments.disturb else held.consents
    is_answered = False
    with CommandSession("ask", choice, held, parts, output) as session:
        output.started("ask", arguments.port)
        asker = session.asker_on(held.line, show, consents)
        timing = AskTiming(arguments.timeout, arguments.pause)
        for exchange in ask_with_retries(asker, arguments.address, request, timing, arguments.retries):
            output.text(*exchange_lines(exchange))
            is_answered = isinstance(exchange.outcome, NormalReply | ExceptionReply)
    return session.status(ExitStatus.DONE if is_answered else ExitStatus.NOT_FOUND)
