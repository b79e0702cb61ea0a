"""`ask`: one request, and everything that can be said of its answer."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import fields

from buswalk.cli.exchange_words import exchange_lines
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import BytesOption, ChoiceOption, HexOption, SecondsOption, WholeOption, WordsOption
from buswalk.cli.options import add_line_options, add_settings_options, port_choice, record_choice, rtu_settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.cli.recording import CommandSession
from buswalk.cli.request_forms import Given, request_of
from buswalk.domain.line_events import ExchangeDone, LateReply, LineEvent, StrayArrival
from buswalk.domain.modbus.custom_frame import CheckSum, CustomFrame, framed
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_guard import confirmed_twice
from buswalk.jobs.asking.write_lock import WriteLock
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
    parser.add_argument("--address", type=address, help="server address, 1 to 247; not with --frame")
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
    _add_frame_options(parser.add_argument_group("bytes of your own in place of a request: they can do anything"))
    _add_request_options(parser.add_argument_group("what is asked, as far as the function takes it"))


def _add_frame_options(group: argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--frame", type=BytesOption("--frame"), help="address, function and data in hex, such as '25 03 00 00 00 01'"
    )
    group.add_argument(
        "--crc",
        type=ChoiceOption("--crc", tuple(one.value for one in CheckSum)),
        default=CheckSum.RIGHT.value,
        metavar="{" + ",".join(one.value for one in CheckSum) + "}",
        help="a right check sum is added (if not given), a wrong one on purpose, or the last two bytes are it as typed",
    )
    group.add_argument("--reason", default="", help="why, in a few words; unlocks the sending of --frame")


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
    sends = _sender_of(arguments, parts)
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
        for exchange in sends(asker, timing):
            output.text(*exchange_lines(exchange))
            is_answered = isinstance(exchange.outcome, NormalReply | ExceptionReply)
    return session.status(ExitStatus.DONE if is_answered else ExitStatus.NOT_FOUND)


def _sender_of(arguments: argparse.Namespace, parts: Parts) -> Callable[[Asker, AskTiming], Iterator[Exchange]]:
    """Return what sends the request, or bytes of one's own, once they are known to be possible."""
    if arguments.frame is not None:
        return _frame_sender(arguments, parts)
    if arguments.address is None:
        raise WrongUse("whom to ask is missing: write --address, such as --address 37")
    given = Given(**{one.name: getattr(arguments, one.name) for one in fields(Given)})
    request = request_of(arguments.function, given)
    return lambda asker, timing: ask_with_retries(asker, arguments.address, request, timing, arguments.retries)


def _frame_sender(arguments: argparse.Namespace, parts: Parts) -> Callable[[Asker, AskTiming], Iterator[Exchange]]:
    """Unlock for these bytes alone; they are sent once, answered or not."""
    if arguments.address is not None:
        raise WrongUse("--frame has its address in it: leave --address out")
    frame = framed(arguments.frame, CheckSum(arguments.crc))
    try:
        CustomFrame(frame)
    except ValueError as reason:
        raise WrongUse(f"--frame cannot be: {reason}") from reason
    lock = WriteLock(parts.recording.wall_now_s)
    lock.unlock(arguments.reason)
    leave = lock.leave_confirmed_twice(frame, "--disturb") if arguments.disturb else lock.leave_for(frame)

    def send(asker: Asker, timing: AskTiming) -> Iterator[Exchange]:
        yield asker.send_frame(frame, timing, leave)

    return send
