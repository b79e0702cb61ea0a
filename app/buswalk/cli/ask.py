"""`ask`: one request, and everything that can be said of its answer."""

from __future__ import annotations

import argparse

from buswalk.bus.job_runner import StoppableLine
from buswalk.cli.exchange_words import exchange_lines
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.options import add_line_options, add_settings_options, server_address_of, settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.domain.line_events import ExchangeDone, LateReply, LineEvent, StrayArrival
from buswalk.domain.modbus.functions import table
from buswalk.domain.modbus.functions.diagnose import Diagnose, SubFunction
from buswalk.domain.modbus.functions.read_device_identification import ReadCode, ReadDeviceIdentification
from buswalk.domain.modbus.outcome import BroadcastSent, ExceptionReply, NormalReply
from buswalk.domain.modbus.request import Request
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking_once import ask_with_retries

WORDS = "send one request and say everything about its answer"


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    parser.add_argument("--address", type=int, required=True, help="server address, 1 to 247")
    parser.add_argument("--function", default="03", help="function code in hex, 03 if not given")
    parser.add_argument("--register", type=int, default=0, help="first register or bit, 0-based as sent")
    parser.add_argument("--quantity", type=int, default=1, help="how many")
    parser.add_argument("--values", default="", help="words to write, such as 210,0 (simulated lines only)")
    parser.add_argument("--sub-function", default="00", help="of function 08, in hex")
    parser.add_argument("--timeout", type=float, default=1.0, help="response time-out in seconds, 1 if not given")
    parser.add_argument("--pause", type=float, default=0.0, help="least silence before the request, in seconds")
    parser.add_argument("--retries", type=int, default=0, help="ask again so often while nothing right comes")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Ask; done if it was answered, if only by refusing."""
    output = Output(parts.out, is_json=arguments.json)
    settings = settings_of(arguments.baud, arguments.framing)
    address = server_address_of(arguments.address)
    request = request_of(arguments)
    timing = _timing(arguments)
    ready = parts.open_line(arguments.port, settings, is_virtual=arguments.clock == "virtual")
    output.started("ask", arguments.port)

    def show(event: LineEvent) -> None:
        if isinstance(event, ExchangeDone | StrayArrival | LateReply):
            output.event(event)

    answered = False
    try:
        asker = Asker(StoppableLine(ready.line, ready.clock, parts.stop), ready.clock, show, ready.consents)
        for exchange in ask_with_retries(asker, address, request, timing, arguments.retries):
            output.text(*exchange_lines(exchange))
            answered = isinstance(exchange.outcome, NormalReply | ExceptionReply | BroadcastSent)
    finally:
        ready.line.close()
    return ExitStatus.DONE if answered else ExitStatus.NOT_FOUND


def _timing(arguments: argparse.Namespace) -> AskTiming:
    if arguments.retries < 0:
        raise WrongUse(f"{arguments.retries} retries cannot be: write 0 or more")
    try:
        return AskTiming(arguments.timeout, arguments.pause)
    except ValueError as reason:
        raise WrongUse(f"--timeout and --pause: {reason}") from reason


def request_of(arguments: argparse.Namespace) -> Request:
    """Return the request that the options describe.

    Raises:
        WrongUse: They describe none.
    """
    code = _hex(arguments.function, "function")
    row = table.function_row(code)
    if row is None:
        known = ", ".join(f"{one.function_code:02X}" for one in table.FUNCTIONS)
        raise WrongUse(f"function {arguments.function} is not built: choose one of {known}")
    try:
        if code == 0x08:
            return Diagnose(SubFunction(_hex(arguments.sub_function, "sub-function")))
        if code == 0x2B:
            return ReadDeviceIdentification(ReadCode.BASIC, 0)
        return row.parse_request(_pdu(code, arguments))
    except ValueError as reason:
        raise WrongUse(f"this request cannot be: {reason}") from reason


def _pdu(code: int, arguments: argparse.Namespace) -> bytes:
    head = bytes((code,))
    if code in (0x07, 0x0B, 0x0C, 0x11):
        return head
    address = _word(arguments.register, "register")
    values = [_word(int(one), "value") for one in arguments.values.split(",") if one.strip()]
    if code in (0x05, 0x06, 0x16):
        return head + address + b"".join(values)
    if code in (0x0F, 0x10):
        data = b"".join(values)
        if code == 0x0F:
            bits = [int.from_bytes(one, "big") & 1 for one in values]
            data = bytes(sum(bit << at for at, bit in enumerate(bits[i : i + 8])) for i in range(0, len(bits), 8))
        return head + address + _word(len(values), "quantity") + bytes((len(data),)) + data
    return head + address + _word(arguments.quantity, "quantity")


def _word(value: int, what: str) -> bytes:
    if not 0 <= value <= 0xFFFF:
        raise WrongUse(f"{what} {value} cannot be: it has 0 to 65535")
    return value.to_bytes(2, "big")


def _hex(text: str, what: str) -> int:
    try:
        return int(text, 16)
    except ValueError as reason:
        raise WrongUse(f"{what} '{text}' cannot be: write it in hex, such as 03") from reason
